"""What the database takes of the steps that nobody makes."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from locates.life.models import Step
from records.ledger.chain import digest
from tests import cast
from tests.life.conftest import LATER, done

pytestmark = pytest.mark.usefixtures("signed")
END = cast.AT + timedelta(hours=30)
WATCH = "Spadework's watch"
PLAIN = {"permit_id": "PD-1", "declaration": "so", "recorded_at": LATER}
UPON = {"sheet": "{}", "digest": digest("{}"), "verdict": '{"blocks":[{"code":"crew.withdrawn"}]}'}
UNDONE = PLAIN | UPON | {"number": 1, "act": "undone", "printed_name": WATCH, "done_at": LATER, "why": "because"}
TIME_UP = PLAIN | {"number": 1, "act": "time_up", "printed_name": WATCH, "done_at": END}
STOP = PLAIN | {"number": 1, "act": "stop", "person_id": "P-CR1", "printed_name": "Jo Brandt", "done_at": LATER}

SLIPPED_IN = {
    "suspended as undone upon no block": UNDONE | {"verdict": '{"blocks":[]}'},
    "suspended as undone upon no verdict": UNDONE | {"sheet": "", "digest": "", "verdict": ""},
    "suspended as undone by somebody": UNDONE | {"person_id": "P-ISS"},
    "suspended as undone in somebody's name": UNDONE | {"printed_name": "Ines Harrow"},
    "ended by its time before it": TIME_UP | {"done_at": END - timedelta(seconds=1)},
    "ended by its time by somebody": TIME_UP | {"person_id": "P-REC"},
    "ended by its time upon a verdict": TIME_UP | UPON,
    "stopped by nobody": STOP | {"person_id": None},
    "stopped by the watch": STOP | {"person_id": None, "printed_name": WATCH},
    "upon a permit that nobody accepted": UNDONE | {"permit_id": "PD-2"},
}


@pytest.mark.parametrize("how", SLIPPED_IN)
def test_no_step_of_nobody_slips_past_the_actions(how):
    cast.permit("PD-2")
    with pytest.raises(IntegrityError), transaction.atomic():
        Step.objects.create(**SLIPPED_IN[how])


@pytest.mark.parametrize("sound", [UNDONE, TIME_UP, STOP])
def test_each_of_these_would_be_taken_if_it_were_sound(sound):
    assert Step.objects.create(**sound).number == 1


def test_the_database_takes_no_end_by_time_before_an_extension_is_over():
    done("extend", "P-ISS", until=END + timedelta(hours=2))
    early = TIME_UP | {"number": 2}
    with pytest.raises(IntegrityError, match="by its own act alone"), transaction.atomic():
        Step.objects.create(**early)
    assert Step.objects.create(**early | {"done_at": END + timedelta(hours=2)}).number == 2


@pytest.mark.parametrize("act", ["undone", "time_up"])
def test_what_is_over_is_neither_undone_nor_ended_once_more(act):
    done("end_scope", "P-REC")
    with pytest.raises(IntegrityError, match="by its own act alone"), transaction.atomic():
        Step.objects.create(**(UNDONE if act == "undone" else TIME_UP) | {"number": 2})
