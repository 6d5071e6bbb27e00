"""How pages and papers tell of what the watch did with a permit by itself."""

from datetime import date, timedelta

import pytest

from locates.life.models import Step
from locates.life.watching import watched
from locates.papers.models import Paper
from tests import cast
from tests.life.conftest import LATER, done
from tests.papers.conftest import printed, signed
from tests.papers.test_looking_up import address
from tests.papers.test_running_out import text
from training.models import Award

pytestmark = pytest.mark.django_db
END = cast.AT + timedelta(hours=30)


@pytest.fixture
def undone(scene, hands):
    """A permit with its paper, suspended by the watch."""
    signed()
    made = printed()
    hands.at = LATER
    withdraw()
    watched(LATER)
    return made


def withdraw():
    Award.objects.filter(pk="A-CR1").update(withdrawn_on=date(2027, 3, 1), withdrawn_because="unsafe work seen")


def test_the_page_of_its_paper_says_suspended_since_when_and_not_why(undone):
    found = text(address(undone))
    assert "Suspended Since 4 Mar 2027 09:30 UTC+13:00, now." in found
    assert "Brandt" not in found


def test_the_permit_s_page_tells_who_did_it_why_and_upon_what(undone, as_person):
    found = text("/permits/PD-1/", as_person("P-REC"))
    assert "Spadework's watch suspended it, for what it rests on does not hold any more, on 4 Mar 2027 09:30" in found
    assert "Why: Jo Brandt's authorisation for digging (award A-CR1) was withdrawn on 1 Mar 2027." in found
    assert Step.objects.get().digest in found


@pytest.mark.parametrize("act", ["undone", "time_up"])
def test_no_page_offers_a_step_that_nobody_makes(undone, as_person, act):
    assert as_person("P-ISS").get(f"/permits/PD-1/steps/{act}/").status_code == 404


@pytest.mark.parametrize("person", ["P-ISS", "P-SAF"])
def test_it_stands_on_the_first_page_of_its_issuer_and_of_the_safety_manager(undone, as_person, person):
    assert "Work is stopped at Quay yard, permit PD-1 : Spadework's watch" in text("/", as_person(person))


def test_until_it_is_resumed_there_is_no_paper_and_then_it_is_upon_what_was_resumed(undone, as_person):
    as_person("P-REC").post("/permits/PD-1/print/")
    assert Paper.objects.count() == 1
    Award.objects.filter(pk="A-CR1").update(withdrawn_on=None, withdrawn_because="")
    resumed = done("resume", "P-ISS", LATER)
    assert "Holds now" in text(address(printed(LATER)))
    assert Step.objects.exclude(sheet="").order_by("-number").first() == resumed


def test_a_sheet_that_was_undone_is_never_printed_as_one_to_work_on(undone, as_person):
    found = as_person("P-REC").get("/permits/PD-1/paper.pdf")
    assert found.status_code == 200
    assert Step.objects.get().digest.encode() not in found.content


def test_ended_by_its_time_the_page_says_since_when_its_time_was_over(scene, hands):
    signed()
    made = printed()
    hands.at = END + timedelta(hours=5)
    watched(hands.at)
    assert "Ended Ended 5 Mar 2027 14:30 UTC+13:00" in text(address(made))


def test_ended_by_its_time_the_list_asks_for_it_to_be_handed_back(scene, hands, as_person):
    signed()
    hands.at = END + timedelta(hours=5)
    watched(hands.at)
    assert "Its time ended on 5 Mar 2027 14:30 UTC+13:00; it is to be handed back." in text("/permits/", as_person("P-REC"))
