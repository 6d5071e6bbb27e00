"""What a permit's page folds away at the dig: never what blocks or ends soon, nothing on paper; and its links to its parts."""

import re
from datetime import timedelta

import pytest

from locates.permits import desk
from locates.permits.actions import preview, sign
from tests import cast
from tests.journeys.browsing import faults, page_of

PAGE = "/permits/PD-1/"
WINDOW = ["2027-03-04T08:00:00+13:00", "2027-03-05T14:30:00+13:00"]
LONG_WINDOW = [WINDOW[0], "2027-03-20T14:30:00+13:00"]


@pytest.fixture
def signed(scene):
    for meaning, person in (("issue", "P-ISS"), ("accept", "P-REC")):
        sign("PD-1", person, meaning, cast.AT, preview("PD-1", cast.AT).seen)


def row(**changes):
    return {"group": "calibration", "label": "Receiver", "detail": "", "begins": None, "ends": None, "good": True} | changes


def at_hours(hours):
    return (cast.AT + timedelta(hours=hours)).isoformat()


@pytest.mark.parametrize(
    ("changes", "window", "folded"),
    [
        ({"ends": at_hours(7 * 24)}, WINDOW, True),
        ({"ends": at_hours(7 * 24 - 1)}, WINDOW, False),
        ({"ends": at_hours(10 * 24)}, LONG_WINDOW, False),
        ({}, WINDOW, True),
        ({"good": False}, WINDOW, False),
        ({"good": False, "ends": at_hours(900)}, WINDOW, False),
        ({"group": "check", "ends": at_hours(2)}, WINDOW, True),
        ({"group": "check", "good": False}, WINDOW, False),
    ],
)
def test_only_what_holds_through_the_permit_and_for_a_week_is_folded(changes, window, folded):
    sheet = {"site": {"zone": "Pacific/Auckland"}, "window": window, "standing": [row(**changes)]}
    shown = desk.evidence(sheet, cast.AT)
    assert (len(shown["table"]), len(shown["holding"])) == ((0, 1) if folded else (1, 0))


def test_its_links_lead_to_parts_that_are_there(signed, as_person):
    said = as_person("P-REC").get(PAGE).content.decode()
    links = re.findall(r'href="#([^"]+)"', said.split('class="to-parts"')[1].split("</nav>")[0])
    assert links == ["keep-to", "plan", "evidence", "diary", "work"]
    assert [one for one in links if said.count(f'id="{one}"') != 1] == []


FOLDED_AWAY = """() => [...document.querySelectorAll("main details.folded:not([open]) > :not(summary)")].map((one) => one.checkVisibility())"""


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_nothing_is_folded_on_paper(signed, browser, live_server):
    wrong = []
    with page_of(browser, live_server, wrong, "P-REC") as page:
        assert list(faults(page, page.goto(PAGE))) == []
        on_screen = page.evaluate(FOLDED_AWAY)
        page.emulate_media(media="print")
        assert (set(on_screen), set(page.evaluate(FOLDED_AWAY))) == ({False}, {True})
    assert wrong == []
