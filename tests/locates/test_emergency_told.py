"""Whoever is named as having decided on emergency work hears of it, however seldom the watch runs."""

from datetime import date, timedelta

import pytest

from locates.permits.telling import NEWS, tell
from records.firm.models import Person
from records.letters.models import Letter
from tests import cast
from tests.life.conftest import accepted, done
from tests.locates.test_emergency import DAY, HOURS, OVER, both, told, urgent
from training.models import Award

pytestmark = pytest.mark.django_db
NEXT_WATCH = cast.AT + 22 * HOURS


@pytest.fixture
def over():
    """Accepted, handed back and done with, all between two runs of a watch that comes once a day; somebody else is named as having decided."""
    accepted()
    Person.objects.update(email="somebody@example.org")
    Award.objects.create(award="A-SEC", person_id="P-OPE", course_id="C-ISS", awarded_on=date(2026, 6, 1), recorded_at=cast.RECORDED)
    urgent(by="P-OPE")
    both()
    done("hand_back", "P-REC", cast.AT + 5 * HOURS, permit="PD-2")


def keys():
    return sorted(key.removeprefix("emergency/") for key in Letter.objects.values_list("key", flat=True))


SIGNED = ["signed/PD-2/P-OPE", "signed/PD-2/P-SAF"]


def test_work_that_was_signed_ended_and_followed_up_between_two_watches_is_told_all_the_same(over):
    told(at=cast.AT + 6 * HOURS)
    assert (tell(NEXT_WATCH), tell(NEXT_WATCH + DAY)) == (2, 0)
    assert keys() == SIGNED


def test_the_letter_says_on_whose_decision_and_that_the_work_is_over_and_asks_nobody_to_stop_it(over):
    tell(NEXT_WATCH)
    letter = Letter.objects.get(key="emergency/signed/PD-2/P-OPE")
    assert letter.subject == "Permit PD-2 was signed as emergency work"
    assert "on the decision of Olu Hale. That work is over. If that is not so, take it up with Ines Harrow, who issued it" in letter.text
    assert "stop the work" not in letter.text


def test_where_it_is_not_followed_up_both_are_told(over):
    tell(NEXT_WATCH)
    assert keys() == sorted([*SIGNED, *(f"due/PD-2/{who}" for who in ("P-ISS", "P-OPE", "P-SAF"))])


def test_whoever_was_told_while_it_went_on_is_not_told_again_once_it_is_over(over):
    told(at=cast.AT + 6 * HOURS)
    assert (tell(cast.AT + HOURS), tell(NEXT_WATCH), keys()) == (2, 0, SIGNED)


@pytest.mark.parametrize(("late", "count"), [(NEWS - timedelta(seconds=1), 2), (NEWS, 0)])
def test_a_watch_that_begins_to_run_stirs_up_no_work_of_long_ago(over, late, count):
    told(at=OVER)
    assert tell(cast.AT + late) == count
