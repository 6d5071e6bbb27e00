"""The gate and the second reading give the same verdict on random registers: every code, subject, instant and number."""

import json
from datetime import datetime, timedelta

import pytest

from locates.permits.rules.gate import assess
from records.rules.verdict import as_data
from tests.rules.folder import evidence
from tests.second_reading.reading import assess_folder
from tests.second_reading.registers import generate

SHIFTS = (timedelta(), timedelta(seconds=1), -timedelta(seconds=1), timedelta(days=1), -timedelta(days=9))


def compared(verdicts):
    """All but the sentences, as JSON gives it back."""
    for verdict in verdicts:
        for findings in (verdict["blocks"], verdict["cautions"], verdict["conditions"]):
            for finding in findings:
                finding.pop("says")
                finding.pop("remedy", None)
    return json.loads(json.dumps(verdicts))


@pytest.mark.parametrize("seed", range(60))
def test_both_readings_give_the_same_verdicts(seed, tmp_path):
    at = datetime.fromisoformat(generate(seed, str(tmp_path)))
    known = evidence(tmp_path)
    for shift in SHIFTS:
        mine = compared([as_data(assess(one, at + shift)) for one in known])
        assert mine == compared(assess_folder(str(tmp_path), (at + shift).isoformat()))
