"""Emergency work on its pages: prepared in a fold, loud wherever the permit is shown, counted, and followed up by those whose it is."""

from datetime import timedelta
from html import unescape

import pytest

from locates.permits.models import Emergency, FollowUp, Permit
from locates.surveys.models import Enquiry
from records.ledger.models import Entry
from tests.journeys.browsing import DESK, faults, page_of
from tests.journeys.preparing import PAGE, post
from tests.locates.test_emergency import OVER, TOLD, both
from tests.locates.test_emergency import urgent as urgent_permit

pytestmark = pytest.mark.usefixtures("scene")
URGENT = {
    "valid_to_day": "2027-03-04",
    "valid_to_time": "19:00",
    "emergency_danger": "The bank is washed out.",
    "emergency_waiting": "The owner answers on Monday.",
    "emergency_by": "P-ISS",
    "emergency_at_day": "2027-03-04",
    "emergency_at_time": "07:45",
}
WHERE = "/permits/PD-2/follow-up/"
COUNTED = "Emergency work that both signed and whose time began in the last 90 days, without plans that others wait for:"


@pytest.fixture
def unanswered(scene):
    Enquiry.objects.filter(enquiry="E-2").update(answered_at=None, nothing_shown=None)


@pytest.fixture
def dug(unanswered, hands):
    """PD-2, emergency work that is over."""
    urgent_permit()
    both()
    hands.at = OVER


def told(client, where):
    return unescape(client.get(where).content.decode())


def test_the_verdict_while_preparing_is_that_of_the_emergency_once_saved(as_person, unanswered):
    client = as_person("P-ISS")
    assert "for 12 hours at most" in told(client, "/prepare/?site=S-1&locate=L-1")
    assert [one.code for one in post(client, "look").context["verdict"].blocks] == ["plans.unanswered"]
    looked = post(client, "look", **URGENT)
    assert looked.context["verdict"].blocks == ()
    assert post(client, "save", **URGENT).status_code == 302
    saved = client.get("/permits/D-77/")
    assert saved.context["verdict"].cautions == looked.context["verdict"].cautions
    assert (Emergency.objects.get().decided_by_id, Entry.objects.get(act="emergency.recorded").subject_id) == ("P-ISS", "D-77")


@pytest.mark.parametrize(("name", "block"), [("emergency_by", "emergency.decider"), ("emergency_danger", None), ("emergency_at_day", None)])
def test_what_is_owed_with_it_is_asked_for_at_its_field(as_person, unanswered, name, block):
    other = URGENT | {name: ""} | ({"emergency_at_time": ""} if name == "emergency_at_day" else {})
    client = as_person("P-ISS")
    assert [one.code for one in post(client, "look", **other).context["verdict"].blocks] == ([block] if block else [])
    answered = post(client, "save", **other)
    assert name.removesuffix("_day") in answered.context["offer"].besides.urgent.errors
    assert not Permit.objects.filter(pk="D-77").exists()


def test_longer_than_its_hours_it_is_shortened_to_them(as_person, unanswered):
    client = as_person("P-ISS")
    long = URGENT | {"valid_to_time": "23:00"}
    assert [one.code for one in post(client, "look", **long).context["verdict"].blocks] == ["emergency.over_hours"]
    short = post(client, "shorten", **long)
    assert (short.context["verdict"].blocks, short.context["form"].data["valid_to_time"]) == ((), "20:00")


def test_changed_it_stays_an_emergency_and_another_like_it_is_none(as_person, unanswered):
    client = as_person("P-ISS")
    post(client, "save", **URGENT)
    where = "/permits/D-77/change/"
    blank = dict.fromkeys((name for name in URGENT if name.startswith("emergency")), "")
    assert post(client, "save", where, seen=client.get(where).context["seen"], **URGENT | blank).status_code == 200
    assert post(client, "save", where, seen=client.get(where).context["seen"], **URGENT | {"emergency_waiting": "Nobody answers."}).status_code == 302
    assert Emergency.objects.get().waiting == "Nobody answers."
    assert not client.get(PAGE, {"like": "D-77"}).context["offer"].besides.urgent.wanted


def test_it_is_loud_wherever_the_permit_is_shown(as_person, unanswered):
    urgent_permit()
    client = as_person("P-ISS")
    for where in ("/permits/PD-2/", "/permits/PD-2/sign/"):
        shown = told(client, where)
        assert "Emergency work</p>" in shown and "Decided by Ines Harrow (P-ISS) on 4 Mar 2027 07:30" in shown
        assert "Dug without the plans of: Lowtide Water" in shown and "Follow-up due through 11 Mar 2027" in shown
    assert "Emergency work</p>" in told(client, "/permits/")
    assert [one.permit.pk for one in client.get("/permits/", {"urgent": "on"}).context["lines"]] == ["PD-2"]
    rows = client.get("/permits.csv?sort=permit").getvalue().decode().splitlines()
    assert (rows[0].rsplit(",", 1)[1], [row.rsplit(",", 1)[1] for row in rows[1:]]) == ("emergency", ["", "yes"])
    assert "Emergency work</p>" not in told(client, "/permits/PD-1/")


@pytest.mark.parametrize(("person", "may"), [("P-ISS", True), ("P-REC", True), ("P-SAF", True), ("P-OPE", False), ("P-CR1", False), ("P-FAR", False)])
def test_it_is_followed_up_by_those_whose_it_is(as_person, dug, person, may):
    client = as_person(person)
    assert client.get(WHERE).status_code == (200 if may else 404)
    assert client.post(WHERE, TOLD).status_code == (302 if may else 404)
    assert FollowUp.objects.count() == may
    assert (WHERE in told(client, "/")) is False


def test_whoever_decided_may_too_and_sees_the_permit(as_person, unanswered, hands):
    urgent_permit(by="P-OPE")
    assert as_person("P-OPE").get("/permits/PD-2/").status_code == 200
    assert as_person("P-OPE").get(WHERE).status_code == 302  # nothing to follow up yet: back to the permit
    hands.at += timedelta(hours=1)
    assert FollowUp.objects.count() == 0


def test_first_pages_say_what_is_due_until_it_is_recorded(as_person, dug, hands):
    for person in ("P-ISS", "P-SAF"):
        assert "Due through 11 Mar 2027, in 7 days" in told(as_person(person), "/")
    assert WHERE not in told(as_person("P-CR1"), "/")
    hands.at = OVER + timedelta(days=9)
    assert "Overdue: it was due through 11 Mar 2027." in told(as_person("P-SAF"), "/")
    as_person("P-ISS").post(WHERE, TOLD)
    assert WHERE not in told(as_person("P-SAF"), "/")
    shown = told(as_person("P-ISS"), "/permits/PD-2/")
    assert "It is recorded." in shown and TOLD["owners"] in shown and "Add to the follow-up" in shown


def test_the_safety_manager_is_told_how_many_there_were(as_person, dug, hands):
    assert f"{COUNTED} 1" in told(as_person("P-SAF"), "/")
    hands.at = OVER + timedelta(days=91)
    assert f"{COUNTED} 0" in told(as_person("P-SAF"), "/")


def test_emergency_work_that_both_signed_for_later_today_is_counted_once_its_time_begins(as_person, unanswered, hands):
    urgent_permit()
    urgent_permit("PD-3", valid_from=OVER - timedelta(hours=3))
    for permit in ("PD-2", "PD-3"):
        both(permit)
    hands.at = OVER - timedelta(hours=3, seconds=1)
    assert f"{COUNTED} 1" in told(as_person("P-SAF"), "/")
    hands.at = OVER - timedelta(hours=3)
    assert f"{COUNTED} 2" in told(as_person("P-SAF"), "/")


def test_the_list_beside_the_count_is_said_to_hold_more_than_those_counted(as_person, dug):
    urgent_permit("PD-3")  # nobody signed it
    shown = told(as_person("P-SAF"), "/")
    assert f"{COUNTED} 1" in shown and '<a href="/permits/?urgent=on">All permits for emergency work, these and others</a>' in shown
    assert {one.permit.pk for one in as_person("P-SAF").get("/permits/?urgent=on").context["lines"]} == {"PD-2", "PD-3"}


def test_what_is_added_owes_its_reason(as_person, dug):
    client = as_person("P-ISS")
    client.post(WHERE, TOLD)
    assert "why" in client.post(WHERE, TOLD).context["form"].errors
    assert client.post(WHERE, TOLD | {"why": "The owner called back."}).status_code == 302
    assert FollowUp.objects.count() == 2


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("options", [{}, {"viewport": DESK}])
def test_its_pages_in_a_browser(browser, live_server, dug, options):
    wrong = []
    with page_of(browser, live_server, wrong, "P-ISS", **options) as page:
        for address in ("/", "/permits/?urgent=on", "/permits/PD-2/", WHERE, "/prepare/?site=S-1&locate=L-1"):
            answer = page.goto(address)
            for fold in page.query_selector_all("details.beside"):
                fold.evaluate("one => { one.open = true; }")
            wrong += [(address, *what) for what in faults(page, answer)]
    assert wrong == []
