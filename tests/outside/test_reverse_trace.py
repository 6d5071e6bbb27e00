"""Which locates an instrument found unfit casts in doubt.

ISO 9001:2015, 7.1.5.2 (its last sentence from memory): where measuring equipment is found unfit, it is decided whether earlier results are adversely
affected. Up to which day back is common practice, with no published source: from the last calibration at which it was good to the day when it was found
bad. The days and locates below are a worked example of that practice, reckoned by hand.
"""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from shapely.geometry import Polygon

from locates.recall.rules.doubts import by_calibrations
from locates.recall.rules.reach import Searched, rested
from locates.rules.fitness import IN, OUT, Calibration, Check, Instrument

DAYS = {"L1": "2026-01-09", "L2": "2026-01-10", "L3": "2026-01-11", "L4": "2026-04-02", "L5": "2026-06-20", "L6": "2026-06-21"}
GOOD, BAD = date(2026, 1, 10), date(2026, 6, 20)
CHECKED = Check("B", "before_use", datetime(2026, 4, 1, 7, tzinfo=UTC), "pass")


def located(name, day):
    began = datetime.fromisoformat(f"{day}T09:00").replace(tzinfo=UTC)
    return Searched(name, "S", ZoneInfo("UTC"), "P", began, began + timedelta(hours=2), frozenset(), (("receiver", "R"),), Polygon())


def in_doubt(last_good, narrowed=()):
    calibrations = (Calibration("K-1", last_good, None, IN, IN), Calibration("K-2", BAD, None, OUT, IN))
    (doubt,) = by_calibrations(Instrument("R", "receiver", calibrations=calibrations, checks=(CHECKED,)), date(2026, 12, 31))
    return " ".join(one.key for one in rested(doubt, [located(*one) for one in DAYS.items()], [], narrowed))


def test_the_day_of_the_last_good_calibration_is_in_doubt_too():
    assert in_doubt(GOOD) == "L2 L3 L4 L5"


def test_without_that_day_it_is_those_after_it():
    assert in_doubt(GOOD + timedelta(days=1)) == "L3 L4 L5"


def test_a_check_passed_in_between_narrows_it_where_the_firm_takes_it_for_proof():
    assert in_doubt(GOOD, narrowed={"S"}) == "L4 L5"
