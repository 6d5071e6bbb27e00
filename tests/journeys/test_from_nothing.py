"""From an empty database to a printed permit, with the browser alone: the firm, its people, the ground, a block, its mending, a signature, the paper."""

import pytest

from locates.permits.models import Permit, SignOff
from records.firm.models import Person
from tests import cast

pytestmark = [pytest.mark.browser, pytest.mark.everywhere, pytest.mark.django_db(transaction=True)]
TECHNIQUES = ["passive_power", "passive_radio", "induction", "direct_connection", "clamp", "sonde"]
AROUND = "95 95\n115 95\n115 107\n95 107"


@pytest.fixture
def page(browser, live_server, hands):
    """A page of a fresh browser before an empty site. What it complains of, or asks elsewhere for, fails the test."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, base_url=live_server.url)
    opened, trouble = context.new_page(), []
    opened.on("console", lambda said: trouble.append(said.text) if said.type in ("error", "warning") else None)
    opened.on("pageerror", lambda error: trouble.append(str(error)))
    opened.on("request", lambda asked: None if asked.url.startswith((live_server.url, "data:", "blob:", "chrome")) else trouble.append(asked.url))
    yield opened
    context.close()
    assert trouble == []


def fill(page, **cells):
    """Fill the fields so named, whatever kind they are."""
    for name, value in cells.items():
        fields = page.locator(f'main [name="{name}"]')
        kind = fields.first.evaluate("one => one.type")
        if kind in ("checkbox", "radio"):
            for one in value if isinstance(value, list) else [value]:
                page.locator(f'main [name="{name}"][value="{one}"]').check()
        elif kind == "select-one":
            fields.select_option(value)
        else:
            fields.fill(value)


def enter(page, slug, asked="", **cells):
    """Enter one record of a book, and land on its page."""
    page.goto(f"/enter/{slug}/{asked}")
    fill(page, **cells)
    page.get_by_role("button", name="Record it", exact=True).click()
    assert page.locator(".told.success").inner_text().endswith("is recorded."), page.locator("main").inner_text()


def many(page, slug, same, among):
    """Enter many at once: what is alike, and for each its own."""
    page.goto(f"/enter/{slug}/many/")
    fill(page, **same)
    for key, own in among.items():
        page.locator(f'[name="in:{key}"]').check()
        fill(page, **{f"{name}:{key}": value for name, value in own.items()})
    page.get_by_role("button", name="Record all that are marked").click()
    assert "are recorded" in page.locator(".told.success").inner_text()


def the_firm(page):
    page.goto("/")
    fill(page, person="P-01", name="Ines Harrow", employer="Field & Furrow", new_password1=cast.PASSWORD, new_password2=cast.PASSWORD)
    page.get_by_role("button", name="Begin").click()
    enter(page, "sites", site="S-1", name="Quay yard", time_zone=cast.ZONE, rule_set="default", owners_to_ask="Northline Power\nLowtide Water")
    for key, name, roles in (("P-02", "Olu Hale", ["operator"]), ("P-03", "Marek Tane", ["supervisor"]), ("P-04", "Jo Brandt", [])):
        enter(page, "people", person=key, name=name, roles=roles)
    enter(page, "postings", posting="N-1", person="P-02", site="S-1", role="operator", begins_on="2027-01-04")
    courses = {"C-LOC": TECHNIQUES, "C-ISS": ["issue_permit"], "C-REC": ["receive_permit"], "C-DIG": ["dig"]}
    for key, things in courses.items():
        enter(page, "courses", course=key, title=f"Course {key}", authorises=things, valid_months="24")
    for course, person in (("C-LOC", "P-02"), ("C-REC", "P-03"), ("C-DIG", "P-04")):
        many(page, "awards", {"course": course, "awarded_on": "2026-05-01", "assessor": "Kim Sand"}, {person: {"certificate_no": f"44-{course}"}})
    enter(page, "awards", award="A-OLD", person="P-01", course="C-ISS", awarded_on="2025-01-10")


def the_kit(page):
    for key, kind in (("I-R1", "receiver"), ("I-T1", "transmitter")):
        enter(page, "instruments", instrument=key, kind=kind, serial_no=f"{kind[:2]}-4471", calibration_months="12", self_test_days="none")
    found = {"as_found": "in_tolerance", "as_left": "in_tolerance"}
    many(page, "calibrations", {"calibrated_on": "2026-06-01", "laboratory": "Ridgeway"}, {"I-R1": found, "I-T1": found})
    for key in ("I-R1", "I-T1"):
        when = {"checked_at_day": "2027-03-03", "checked_at_time": "07:00"}
        enter(page, "checks", f"?instrument={key}&kind=before_use", result="pass", person="P-02", **when)


def the_ground(page):
    answered = {"answered_at_day": "2027-02-26", "answered_at_time": "08:30"}
    enter(page, "enquiries", "?site=S-1", enquiry="E-1", service_owner="Northline Power", sent_on="2027-02-20", **answered)
    enter(page, "enquiries", "?site=S-1", enquiry="E-2", service_owner="Lowtide Water", sent_on="2027-02-20", nothing_shown="yes", **answered)
    enter(page, "services", "?enquiry=E-1", service="V-1", utility="electricity", conductive="yes")
    begun = {"started_at_day": "2027-03-03", "started_at_time": "07:30"}
    enter(page, "locates", "?site=S-1", locate="L-1", operator="P-02", receiver="I-R1", transmitter="I-T1", **begun)
    for technique in ("passive_power", "passive_radio"):
        for bearing in ("0", "90"):
            enter(page, "sweeps", "?locate=L-1", technique=technique, area=AROUND, bearing_deg=bearing)
    enter(page, "sweeps", "?locate=L-1", technique="induction", area=AROUND, transmitter_offset_m="5")
    depths = {"width_m": "0.1", "depth_m": "0.8", "raised_by_m": "0.3", "raised_depth_m": "1.1"}
    found = {"utility": "electricity", "technique": "induction", "quality_level": "B", "services": ["V-1"]}
    enter(page, "traces", "?locate=L-1", line="105 96\n105 106", **found, **depths)
    page.goto("/records/locates/L-1/")
    page.get_by_role("link", name="Enter when it was finished").click()
    fill(page, finished_at_day="2027-03-03", finished_at_time="10:30")
    page.get_by_role("button", name="Enter when it was finished").click()


def the_permit(page, **issuer):
    page.goto("/prepare/")
    window = {"valid_from_day": "2027-03-04", "valid_from_time": "07:30", "valid_to_day": "2027-03-05", "valid_to_time": "14:30"}
    fill(page, permit="PD-1", work="Trench for a water pipe", outline="100 101\n110 101", width="2", depth_m="1.2", receiver="P-03", **window)
    fill(page, locate="L-1", crew=["P-04"], **issuer)
    if not issuer:
        assert "good through 10 Jan 2027" in page.locator("#part-people").text_content()  # why the issuer is not offered
    page.get_by_role("button", name="Save the permit").click()


def test_from_nothing_to_a_printed_permit(page):
    the_firm(page)
    the_kit(page)
    the_ground(page)
    the_permit(page)
    assert Permit.objects.count() == 0  # nobody who may issue could be named
    enter(page, "awards", award="A-NEW", person="P-01", course="C-ISS", awarded_on="2027-03-01")
    the_permit(page, issuer="P-01")
    assert "is prepared. Nobody has signed it yet." in page.locator(".told.success").inner_text()
    gets_blocked_renews_and_signs(page)


def gets_blocked_renews_and_signs(page):
    """The award that the issuer stands on is withdrawn; the gate says so, the renewal is recorded by its link, and the permit is signed and printed."""
    page.goto("/later/awards/A-NEW/withdrawn_on/")
    fill(page, withdrawn_on="2027-03-02", withdrawn_because="the paper was misread")
    page.get_by_role("button", name="Withdraw it").click()
    assert "Not to dig any more" in page.locator(".reasons").inner_text()  # what it does to open permits is said first
    page.get_by_role("button", name="Record it all the same").click()
    page.goto("/permits/PD-1/")
    assert page.locator("#verdict").inner_text().strip() == "Not to dig"
    assert "authorisation for issuing permits (award A-NEW) was withdrawn on 2 Mar 2027" in page.locator(".reasons").inner_text()
    page.get_by_role("link", name="Record an award").click()
    fill(page, course="C-ISS", awarded_on="2027-03-03")
    page.get_by_role("button", name="Record it", exact=True).click()
    page.goto("/permits/PD-1/")
    assert page.locator("#verdict").inner_text().strip() == "May be issued"
    page.get_by_role("link", name="Issue this permit").click()
    page.get_by_label("Your password").fill(cast.PASSWORD)
    page.get_by_role("button", name="I declare this").click()
    assert SignOff.objects.get().person_id == "P-01"
    assert page.request.get("/permits/PD-1/paper.pdf").body().startswith(b"%PDF-")
    assert Person.objects.count() == 4
