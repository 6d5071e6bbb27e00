"""Two watches at once, and a watch beside somebody who acts on the permit at the same instant, each on a connection of their own."""

from datetime import date

import pytest

from locates.life.actions import Wish, outlook, step
from locates.life.facts import lives
from locates.life.models import Step
from locates.life.watching import watched
from locates.permits.actions import Changed, OutOfTurn, Refused
from locates.permits.models import Permit
from records.ledger.facts import signature_faults, walked
from records.ledger.models import Entry
from records.letters.models import Letter
from tests.journeys.test_at_the_same_instant import at_once
from tests.life.conftest import GIVEN, LATER, accepted, done
from training.models import Award

pytestmark = pytest.mark.django_db(transaction=True)
TIMES = 4
REFUSALS = {Changed, OutOfTurn, Refused}


def withdraw():
    Award.objects.filter(pk="A-CR1").update(withdrawn_on=date(2027, 3, 1), withdrawn_because="unsafe work seen")


def sound():
    return list(signature_faults()) == [] and walked().broken is None


@pytest.mark.parametrize("times", [2, TIMES])
def test_of_watches_at_once_one_suspends_and_each_is_told_once(times):
    accepted()
    withdraw()
    every = at_once(*[lambda: watched(LATER)] * times)
    assert [one.raised for one in every] == [None] * times
    assert sorted(one.result.suspended for one in every) == [[]] * (times - 1) + [["PD-1"]]
    assert [one.result.troubled for one in every] == [{}] * times
    assert (Step.objects.count(), Entry.objects.filter(act="permit.step").count(), Letter.objects.count()) == (1, 1, 6)
    assert sound()


def test_of_two_watches_that_tell_what_ran_out_each_is_told_once():
    accepted()
    Award.objects.filter(pk="A-OPE").update(expires_on=date(2027, 3, 4))
    next_day = LATER.replace(day=LATER.day + 1)
    every = at_once(*[lambda: watched(next_day)] * 2)
    assert [one.raised for one in every] == [None] * 2
    assert (Step.objects.count(), Letter.objects.count()) == (0, 6)


@pytest.mark.parametrize(
    ("act", "person"), [("suspend", "P-REC"), ("stop", "P-CR1"), ("hand_over", "P-REC"), ("extend", "P-ISS"), ("end_scope", "P-ISS"), ("hand_back", "P-REC")]
)
def test_a_watch_beside_a_step_leaves_one_story_and_nobody_digs(act, person):
    accepted()
    wish = Wish(act, **GIVEN, to="P-FAR", until=Permit.objects.get().valid_to.replace(minute=45))
    seen = outlook("PD-1", wish, LATER).seen
    withdraw()
    stepping, watching = at_once(lambda: step("PD-1", person, wish, LATER, seen), lambda: watched(LATER))
    assert watching.raised is None and watching.result.troubled == {}
    assert stepping.raised is None or type(stepping.raised) in REFUSALS
    watched(LATER)
    assert lives(Permit.objects.all(), LATER)["PD-1"].state not in ("accepted", "between_receivers")
    assert Step.objects.count() == Entry.objects.filter(act="permit.step").count() == (stepping.raised is None) + len(undone())
    assert len(undone()) <= 1
    assert sound()


def undone():
    return Step.objects.filter(act="undone")


def test_a_watch_beside_a_resumption_never_leaves_it_live_upon_what_undoes_it():
    accepted()
    done("suspend", "P-REC")
    wish = Wish("resume", **GIVEN)
    seen = outlook("PD-1", wish, LATER).seen
    resuming, watching, withdrawing = at_once(lambda: step("PD-1", "P-ISS", wish, LATER, seen), lambda: watched(LATER), withdraw)
    assert (watching.raised, withdrawing.raised) == (None, None)
    assert resuming.raised is None or type(resuming.raised) in REFUSALS
    watched(LATER)
    assert lives(Permit.objects.all(), LATER)["PD-1"].state == "suspended"
    assert sound()
