"""Two people in one diary at the same instant, each on a connection of their own; and one who taps twice."""

import pytest

from locates.life.models import Step
from locates.lookovers.models import DiaryRow
from records.ledger.facts import signature_faults, walked
from tests.journeys.test_at_the_same_instant import at_once
from tests.life.conftest import accepted
from tests.lookovers.conftest import MARKS, wrote

pytestmark = pytest.mark.django_db(transaction=True)


def test_both_are_written_one_after_the_other_and_the_work_is_stopped_once():
    accepted()
    both = at_once(lambda: wrote("look_over", "P-CR1", seen=0, **MARKS), lambda: wrote("look_over", "P-CR2", seen=0, **MARKS))
    assert [one.raised for one in both] == [None, None]
    assert [one.number for one in DiaryRow.objects.order_by("number")] == [1, 2]
    assert (Step.objects.count(), DiaryRow.objects.exclude(stop=None).count()) == (1, 1)
    assert (list(signature_faults()), walked().broken) == ([], None)


def test_tapped_twice_at_once_it_is_one_row():
    accepted()
    both = at_once(*(lambda: wrote("look_over", "P-CR1", seen=0) for _ in range(2)))
    assert ([one.raised for one in both], DiaryRow.objects.count()) == ([None, None], 1)
