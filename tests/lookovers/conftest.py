"""A permit that both have signed, an hour into its first day."""

from datetime import timedelta
from decimal import Decimal

import pytest

from locates.lookovers.actions import Told, write
from records.firm.models import Person
from tests import cast
from tests.life.conftest import accepted

LATER = cast.AT + timedelta(hours=1)
MARKS = {"wrong": ("marks",), "note": "Sand over the north end.", "action": "Sent everyone off."}
SWEPT = {"techniques": ("passive_power", "passive_radio"), "receiver_id": "I-R1", "place": "North end", "depth_m": Decimal("0.3")}


@pytest.fixture
def signed(db):
    accepted()


def wrote(kind, person="P-REC", at=LATER, happened=None, permit="PD-1", seen=None, **columns):
    return write(permit, Person.objects.get(person=person), Told(kind, happened or at, seen, **columns), at)
