"""Two people at one permit at the same instant, each on a connection of their own."""

import pytest

from locates.life.actions import Wish, outlook, step
from locates.life.models import Step
from locates.permits.actions import Changed, OutOfTurn
from records.ledger.facts import signature_faults, walked
from records.ledger.models import Entry
from tests.journeys.test_at_the_same_instant import at_once
from tests.life.conftest import GIVEN, LATER, accepted

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize(("issuer", "receiver"), [("suspend", "suspend"), ("suspend", "hand_back"), ("end_scope", "hand_over")])
def test_of_two_who_step_at_once_one_does_and_the_other_is_told(issuer, receiver):
    accepted()
    wishes = {"P-ISS": Wish(issuer, **GIVEN), "P-REC": Wish(receiver, to="P-FAR", **GIVEN)}
    seen = {person: outlook("PD-1", wish, LATER).seen for person, wish in wishes.items()}
    both = at_once(*(lambda person=person, wish=wish: step("PD-1", person, wish, LATER, seen[person]) for person, wish in wishes.items()))
    assert {type(one.raised) for one in both if one.raised} <= {Changed, OutOfTurn}
    assert (Step.objects.count(), Entry.objects.filter(act="permit.step").count(), sum(one.raised is None for one in both)) == (1, 1, 1)
    assert (list(signature_faults()), walked().broken) == ([], None)
