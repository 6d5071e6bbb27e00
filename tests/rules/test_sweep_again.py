"""A sweep made again counts where whoever made it was authorised, the receiver was fit, and both passive modes were used; and the depth of the next."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from locates.lookovers.rules.again import Swept, doubts, next_depth
from locates.permits.rules.evidence import Person
from locates.rules.fitness import Calibration, Check, Instrument
from records.rules.cover import Award
from records.rules.words import TECHNIQUES

ZONE = ZoneInfo("Pacific/Auckland")
AT = datetime(2027, 3, 3, 20, 0, tzinfo=UTC)
HOURS = 12
AWARD = Award("A-1", frozenset(TECHNIQUES), date(2026, 5, 1), 36)
CALIBRATION = Calibration("K-1", date(2026, 6, 1), None, "in_tolerance", "in_tolerance")
CHECK = Check("B-1", "before_use", AT - timedelta(hours=2), "pass")
RECEIVER = Instrument("R-1", "receiver", calibration_months=12, calibrations=(CALIBRATION,), checks=(CHECK,))
LATER = "R-1 was later found out of tolerance, or failed its next check"
SOUND = Swept(Person("P-1", "Olu Hale", awards=(AWARD,)), ("passive_power", "passive_radio"), RECEIVER, AT)


def tool(**other):
    return replace(SOUND, receiver=replace(RECEIVER, **other))


def awarded(**other):
    return replace(SOUND, person=replace(SOUND.person, awards=(replace(AWARD, **other),)))


@pytest.mark.parametrize(
    ("swept", "says"),
    [
        (SOUND, []),
        (replace(SOUND, techniques=("passive_power",)), ["passive radio was not used"]),
        (awarded(authorises=frozenset({"passive_power"})), ["Olu Hale was not authorised for passive radio"]),
        (awarded(valid_months=10, authorises=frozenset(TECHNIQUES)), [f"Olu Hale was not authorised for passive {mode}" for mode in ("power", "radio")]),
        (awarded(withdrawn_on=date(2027, 3, 5)), []),  # withdrawn the day after
        (awarded(withdrawn_on=date(2027, 3, 4)), [f"Olu Hale was not authorised for passive {mode}" for mode in ("power", "radio")]),
        (tool(out_of_service_from=date(2027, 3, 4)), ["R-1 was out of service"]),
        (tool(out_of_service_from=date(2027, 3, 5)), []),
        (tool(calibrations=()), ["R-1 had not been calibrated"]),
        (tool(calibration_months=6), ["R-1 was out of calibration"]),
        (tool(calibrations=(replace(CALIBRATION, as_left="out_of_tolerance"),)), ["R-1 was not left in tolerance by its last calibration"]),
        (tool(checks=()), ["R-1 had not been checked before use"]),
        (tool(checks=(replace(CHECK, checked_at=AT - timedelta(hours=13)),)), ["R-1 had not been checked before use"]),
        (tool(checks=(replace(CHECK, result="fail"),)), ["R-1 had failed its check"]),
        (tool(checks=(CHECK, Check("B-2", "before_use", AT + timedelta(hours=1), "fail"))), [LATER]),
        (tool(checks=(CHECK, Check("B-2", "before_use", AT + timedelta(days=10), "fail"))), []),  # not known yet
        (tool(calibrations=(CALIBRATION, replace(CALIBRATION, calibration="K-2", calibrated_on=date(2027, 3, 9), as_found="out_of_tolerance"))), [LATER]),
        (tool(self_test_days=30), ["R-1 had no good self-test"]),
    ],
)
def test_why_a_sweep_does_not_count(swept, says):
    assert doubts(swept, HOURS, ZONE, AT + timedelta(days=9)) == says


@pytest.mark.parametrize(
    ("reached", "deepest", "owed"),
    [((), "1.2", "0.3"), (("0.3",), "1.2", "0.6"), (("0.6", "0.3"), "1.2", "0.9"), (("0.9",), "1.2", None), (("1.0",), "1.2", None), ((), "0.3", None)],
)
def test_at_which_depth_the_next_is_owed(reached, deepest, owed):
    found = next_depth([Decimal(one) for one in reached], Decimal("0.3"), Decimal(deepest))
    assert found == (None if owed is None else Decimal(owed))
