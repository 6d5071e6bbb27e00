"""What the guided locate recorded, handed over as a register folder and loaded elsewhere, gives the same verdict and the same sheet."""

from datetime import timedelta

import pytest

from locates.fieldwork.models import FieldSheet
from locates.permits.actions import preview
from locates.permits.models import Permit
from records.exchange.loading import load
from records.exchange.writing import export
from records.firm.models import Visit
from records.ledger.chain import COMMAND_LINE
from records.rules.verdict import as_data
from tests import cast
from tests.journeys.locating import SHEET, finished, whole
from tests.records.test_round_trip import emptied

pytestmark = pytest.mark.usefixtures("scene")


def judged(at):
    prospect = preview("PD-1", at)
    return as_data(prospect.verdict), prospect.sheet["rows"]


def test_a_locate_from_the_phone_travels(as_person, hands, tmp_path):
    whole(as_person("P-OPE"))
    hands.at = cast.AT + timedelta(hours=1)
    finished(as_person("P-OPE"))
    Permit.objects.update(locate=FieldSheet.objects.get().locate)
    before = judged(hands.at)
    assert before[0]["clear"] is True
    export(tmp_path / "out")
    Visit.objects.all().delete()  # no record: where somebody is signed in
    emptied()
    assert not FieldSheet.objects.exists()
    done = load(tmp_path / "out", COMMAND_LINE, hands.at)
    assert list(done.problems()) == []
    assert judged(hands.at) == before
    sheet = FieldSheet.objects.get()
    assert (sheet.pk, sheet.marks, sheet.marks_note) == (SHEET, ("paint", "pegs"), "both kerbs")
    assert set(sheet.plans_seen.values_list("pk", flat=True)) == {"E-1", "E-2"}
