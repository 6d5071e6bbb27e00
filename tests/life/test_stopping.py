"""The work is stopped in the errand of what it is stopped for, and a life can be told as it was."""

from datetime import timedelta

import pytest

from locates.life.actions import Wish, stopped
from locates.life.facts import lives
from locates.permits.actions import NotTheirs, OutOfTurn
from locates.permits.models import Permit
from records.firm.actions import actor
from records.firm.models import Person
from records.ledger.actions import errand
from records.ledger.facts import signature_faults, walked
from records.ledger.models import Entry
from tests.life.conftest import GIVEN, LATER, done

pytestmark = pytest.mark.usefixtures("signed")


def state():
    return lives(Permit.objects.all(), LATER)["PD-1"].state


def test_the_work_is_stopped_in_the_errand_of_what_it_is_stopped_for_or_not_at_all():
    crew = Person.objects.get(person="P-CR1")
    with pytest.raises(NotTheirs), errand(actor(crew), LATER) as underway:
        underway.write("permit.diary_written", "permit", "PD-1", "the marks are gone", LATER)
        stopped(underway, "PD-1", Person.objects.get(person="P-FAR"), Wish("halt", why="the marks are gone"))
    assert (state(), Entry.objects.filter(act="permit.diary_written").count()) == ("accepted", 0)
    with errand(actor(crew), LATER) as underway:
        made = stopped(underway, "PD-1", crew, Wish("halt", why="the marks are gone"))
    assert (state(), made.why) == ("suspended", "the marks are gone")
    assert (list(signature_faults()), walked().broken) == ([], None)


@pytest.mark.parametrize("act", ["suspend", "hand_back", "resume"])
def test_what_asks_for_a_password_is_no_part_of_another_errand(act):
    receiver = Person.objects.get(person="P-REC")
    with pytest.raises(OutOfTurn), errand(actor(receiver), LATER) as underway:
        stopped(underway, "PD-1", receiver, Wish(act, **GIVEN))


def test_a_life_is_also_told_as_it_was_by_an_earlier_instant():
    done("suspend", "P-REC", LATER)
    row = Permit.objects.get(permit="PD-1")
    told = [lives([row], at, by_then=True)["PD-1"].state for at in (LATER - timedelta(minutes=1), LATER)]
    assert told == ["accepted", "suspended"]
