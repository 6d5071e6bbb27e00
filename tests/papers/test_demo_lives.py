"""The demo firm's permits live their lives whenever the firm is made."""

from datetime import UTC, datetime

import pytest

from locates.life.facts import lives
from locates.papers.demo import LIVES, live
from locates.papers.models import Paper
from locates.permits.demo import steps
from locates.permits.emergencies import due
from locates.permits.facts import gather
from locates.permits.models import Permit
from locates.permits.rules.gate import assess
from records.ledger.facts import signature_faults
from tests.locates.test_demo_scenario import BLOCKED

STATES = {
    "Q-121": "accepted",
    "Q-122": "suspended",
    "Q-123": "suspended",
    "Q-124": "between_receivers",
    "Q-125": "ended",
    "Q-126": "handed_back",
    "Q-127": "cancelled",
    "Q-131": "handed_back",
}
PAPERS = [("Q-121", 1), ("Q-121", 2), ("Q-125", 1), ("Q-126", 1), ("Q-131", 1)]


# the first minutes of a Monday, the day on which clocks change, the first working day of a year
INSTANTS = (datetime(2027, 3, 1, 0, 10, tzinfo=UTC), datetime(2027, 3, 28, 22, 50, tzinfo=UTC), datetime(2028, 1, 3, 16, tzinfo=UTC))


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("at", INSTANTS, ids=str)
def test_each_permit_comes_to_its_own_state_by_the_ordinary_acts(at):
    steps.bring_in(at)
    live(at, "http://127.0.0.1:8000/")
    assert {key: life.state for key, life in lives(Permit.objects.filter(pk__in=LIVES), at).items()} == STATES
    assert list(Paper.objects.order_by("permit", "version").values_list("permit", "version")) == PAPERS
    assert (set(Paper.objects.values_list("sealed_by", flat=True)) & {""}, list(signature_faults())) == (set(), [])
    ahead = {one.permit.permit: assess(one, at) for one in gather(Permit.objects.filter(pk__in=("Q-128", "Q-132")))}
    assert ([one.permit.pk for one in due(at)], ahead["Q-128"].blocks) == (["Q-131"], ())
    assert sorted(one.code for one in ahead["Q-132"].blocks) == sorted(BLOCKED["Q-132"])
