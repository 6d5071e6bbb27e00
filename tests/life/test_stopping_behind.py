"""Who stops the work is never told that it is too early: not while somebody else's act was being written, nor where a clock was set back."""

from datetime import timedelta

import pytest

from locates.life.actions import Wish, step, stopped
from locates.life.facts import lives
from locates.life.models import Step
from locates.permits.actions import OutOfTurn
from locates.permits.models import Permit
from records.firm.actions import actor
from records.firm.models import Person
from records.ledger.actions import errand
from records.ledger.facts import signature_faults, walked
from tests.life.conftest import LATER, done

pytestmark = pytest.mark.usefixtures("signed")
BEFORE = LATER - timedelta(seconds=1)
STOPS = {"stop": ("P-CR1", {}), "halt": ("P-CR1", {"why": "the marks are gone"}), "forbid": ("P-SAF", {"why": "the receiver is in doubt"})}


@pytest.mark.parametrize("act", STOPS)
def test_work_is_stopped_though_the_last_act_is_dated_after_it(act):
    done("suspend", "P-REC")
    done("resume", "P-ISS")
    person, told = STOPS[act]
    step("PD-1", person, Wish(act, **told), BEFORE, "")
    assert lives(Permit.objects.all(), LATER)["PD-1"].state == "suspended"
    assert list(Step.objects.order_by("number").values_list("act", "done_at"))[1:] == [("resume", LATER), (act, BEFORE)]
    assert (list(signature_faults()), walked().broken) == ([], None)


def test_also_in_the_errand_of_what_it_is_stopped_for():
    done("suspend", "P-REC")
    done("resume", "P-ISS")
    crew = Person.objects.get(person="P-CR1")
    with errand(actor(crew), BEFORE) as underway:
        stopped(underway, "PD-1", crew, Wish("stop"))
    assert lives(Permit.objects.all(), LATER)["PD-1"].state == "suspended"


def test_whatever_else_waits_for_its_turn():
    done("suspend", "P-REC")
    with pytest.raises(OutOfTurn):
        done("resume", "P-ISS", BEFORE)
