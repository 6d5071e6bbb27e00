"""The permit pages in a real browser: at a phone's and a desk's width, in every light, by keyboard, without JavaScript."""

from datetime import date, timedelta

import pytest

from locates.permits.actions import preview, sign
from locates.permits.models import SignOff
from tests import cast
from tests.journeys.browsing import AXE, CONTRAST, NO_WORKER, violations
from training.models import Award

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
WIDTHS, PHONE = (320, 360, 1280), {"width": 360, "height": 800}
LIGHTS = {
    "dark": {"color_scheme": "dark", "contrast": "no-preference"},
    "high contrast": {"color_scheme": "light", "contrast": "more"},
    "dark, high contrast": {"color_scheme": "dark", "contrast": "more"},
}
CLEAR, BLOCKED, SIGNED, RECALLED = "/permits/PD-1/", "/permits/PD-2/", "/permits/PD-5/", "/permits/PD-6/"
LONG = "W" * 40  # as long as an identifier may be
PAGES = {
    "the first page": "/",
    "the list": "/permits/",
    "a narrowed list": "/permits/?search=trench&verdict=clear&sort=site",
    "an empty list": "/permits/?search=nothing+like+it",
    "a list asked for wrongly": "/permits/?sort=colour&site=S-404",
    "a clear permit": CLEAR,
    "a blocked permit": BLOCKED,
    "a signed permit": SIGNED,
    "a signed permit, blocked since": RECALLED,
    "a permit of long words": f"/permits/{LONG}/",
    "signing": f"{CLEAR}sign/",
    "a signed record": f"{SIGNED}signed/accept/",
    "one's own password": "/password/",
    "the notice": "/before-you-dig/",
    "nothing": "/permits/none/",
}


def signed_by_both(name, crew=("P-CR1",)):
    cast.permit(name).crew.set(crew)
    for meaning, person in (("issue", "P-ISS"), ("accept", "P-REC")):
        sign(name, person, meaning, cast.AT, preview(name, cast.AT).seen)


@pytest.fixture
def stage(live_server, scene):
    """The site served, with a permit of each kind."""
    cast.permit("PD-2", locate_id=None, valid_from=cast.AT - timedelta(days=4), valid_to=cast.AT - timedelta(days=3), issuer_id="P-REC")
    cast.permit(LONG, work="Ditch" * 80, locate_id=None)
    signed_by_both("PD-5")
    Award.objects.create(award="A-FAR", person_id="P-FAR", course_id="C-DIG", awarded_on=date(2026, 5, 1), recorded_at=cast.RECORDED)
    signed_by_both("PD-6", ("P-FAR",))
    Award.objects.filter(award="A-FAR").update(withdrawn_on=date(2027, 3, 4), withdrawn_because="exam void")
    return live_server.url


def complains(said):
    """A permit that is not there, and a refusal to sign, are answers."""
    answer = said.text.startswith("Failed to load resource") and said.location["url"].endswith(("/permits/none/", "/sign/"))
    return said.type in ("error", "warning") and not answer


@pytest.fixture
def visit(browser, stage):
    """A page of a fresh browser at this width. What it complains of, or asks elsewhere for, is noted and fails the test."""
    trouble, opened = [], []

    def page_of(width=360, height=800, within=browser, **options):
        context = within.new_context(viewport={"width": width, "height": height}, base_url=stage, **options)
        context.add_init_script(f"{AXE};{NO_WORKER}")
        page = context.new_page()
        opened.append(context)
        page.on("console", lambda said: trouble.append(said.text) if complains(said) else None)
        page.on("pageerror", lambda error: trouble.append(str(error)))
        page.on("request", lambda asked: None if asked.url.startswith((stage, "data:", "blob:", "chrome")) else trouble.append(asked.url))
        return page

    yield page_of
    for context in opened:
        context.close()
    assert trouble == []


def sign_in(page, person="P-ISS"):
    page.goto("/")
    page.get_by_label("Your identifier").fill(person)
    page.get_by_label("Password").fill(cast.PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "/sign-in/" not in url)  # a page asked for meanwhile would lose to the one that is on its way
    return page


def put_hand_to_it(page, deed):
    page.get_by_role("link", name=f"{deed} this permit").click()
    page.get_by_label("Your password").fill(cast.PASSWORD)
    page.get_by_role("button", name="I declare this").click()


@pytest.mark.parametrize("width", [360, 1280])
@pytest.mark.parametrize("javascript", [True, False], ids=["with JavaScript", "without"])
def test_the_issuer_signs_and_the_receiver_accepts(visit, width, javascript):
    for person, deed, word in (("P-ISS", "Issue", "May be accepted"), ("P-REC", "Accept", "In force")):
        page = sign_in(visit(width, java_script_enabled=javascript), person)
        page.get_by_role("link", name="PD-1", exact=True).first.click()
        put_hand_to_it(page, deed)
        assert page.locator("#verdict").inner_text().strip() == word
    assert list(SignOff.objects.filter(permit="PD-1").order_by("pk").values_list("meaning", flat=True)) == ["issue", "accept"]


def test_a_refusal_is_told_with_its_reasons(visit):
    page = sign_in(visit())
    page.goto(f"{CLEAR}sign/")
    Award.objects.filter(award="A-CR1").update(withdrawn_on=date(2027, 3, 4), withdrawn_because="exam void")
    page.get_by_label("Your password").fill(cast.PASSWORD)
    with page.expect_response(lambda response: response.status == 409):
        page.get_by_role("button", name="I declare this").click()
    assert "the gate refuses" in page.get_by_role("alert").inner_text()
    assert "Jo Brandt" in page.locator(".reasons").inner_text()


def test_the_way_to_a_signature_is_open_to_the_keyboard_alone(visit):
    page = visit(1280)
    page.goto("/")
    page.wait_for_function("document.activeElement.name === 'username'")
    page.keyboard.type("P-ISS")
    page.keyboard.press("Tab")
    page.keyboard.type(cast.PASSWORD)
    page.keyboard.press("Enter")
    for name in ("PD-1", "Issue this permit"):
        reached = page.get_by_role("link", name=name, exact=True).first
        tab_to(page, reached)
        page.keyboard.press("Enter")
        page.wait_for_load_state()
    tab_to(page, page.get_by_label("Your password"))
    page.keyboard.type(cast.PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url("**/permits/PD-1/")
    assert SignOff.objects.filter(permit="PD-1", meaning="issue").exists()


def tab_to(page, wanted):
    for _ in range(40):
        page.keyboard.press("Tab")
        if wanted.evaluate("one => one === document.activeElement"):
            return
    pytest.fail(f"{wanted} is not reached by the Tab key")


def test_the_rules_find_nothing_on_any_page_and_none_scrolls_sideways(visit):
    """At each width, and in each light that a device may wish for; a light changes colours alone, so there the rule for these is enough."""
    page, found = visit(), {}
    page.goto("/sign-in/")
    found["the door"] = [*looked_at(page)]
    page.set_viewport_size(PHONE)
    sign_in(page)
    for name, address in PAGES.items():
        page.goto(address)
        found[name] = [*looked_at(page)]
    assert {name: some for name, some in found.items() if some} == {}


def looked_at(page):
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        if page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"):
            yield "sideways", width
        if width != WIDTHS[0]:
            yield from ((width, *one) for one in violations(page))
    for light, wishes in LIGHTS.items():
        page.emulate_media(**wishes)
        yield from ((light, *one) for one in violations(page, CONTRAST))
    page.emulate_media(color_scheme="light", contrast="no-preference")


@pytest.mark.parametrize(
    ("address", "answer"),
    [(CLEAR, ".ends"), (BLOCKED, ".reasons > li >> nth=0"), (PAGES["a permit of long words"], ".reasons > li"), ("/", ".glance"), ("/", ".line >> nth=0")],
)
def test_a_page_answers_before_the_fold_of_a_phone(visit, address, answer):
    page = sign_in(visit(360, 640))
    page.goto(address)
    box = page.locator(answer).bounding_box()
    assert box["y"] + box["height"] <= 640


def test_the_paper_opens_under_the_same_policy(visit, whole_browser):
    page = sign_in(visit(1280, within=whole_browser))
    assert page.goto(f"{SIGNED}paper.pdf").status == 200
    page.wait_for_load_state("networkidle")
