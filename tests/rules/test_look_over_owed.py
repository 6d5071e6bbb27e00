"""When a look-over is owed: each day of the site before work, and again after whatever happened since."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from locates.lookovers.rules.owed import owed
from locates.lookovers.rules.words import OWNERS, POINTS, POINTS_WRONG, WITH_OWNERS, WRONG_SAYS, because, declared

ZONE = ZoneInfo("Pacific/Auckland")
MORNING = datetime(2027, 3, 3, 18, 0, tzinfo=UTC)  # 4 March 2027, 07:00 there
MIDNIGHT = datetime(2027, 3, 3, 11, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


def at(hours):
    return MORNING + hours * HOUR


@pytest.mark.parametrize(
    ("looked", "causes", "now", "occasion"),
    [
        ([], [], 1, "start"),
        ([0], [], 1, None),
        ([2], [], 1, "start"),  # told by a clock that is ahead
        ([-8], [], 1, "start"),  # yesterday, 23:00
        ([-7], [], 1, None),  # the first instant of the day
        ([0], [("rain", 1)], 2, "rain"),
        ([0], [("rain", 0)], 2, "rain"),  # in the same second: nobody knows which came first
        ([0, 2], [("rain", 1)], 3, None),
        ([0], [("rain", 1), ("change", 2)], 3, "change"),
        ([0], [("shift", 3)], 2, None),  # not yet
        ([0], [("shift", 3)], 4, "shift"),
        ([0], [("resumed", 3)], 3, "resumed"),
        ([-1], [("rain", -2)], 1, None),  # rained yesterday before the look-over of today
        ([-10], [("rain", -9)], 1, "start"),  # the day's start says more
        ([], [("rain", 1)], 2, "start"),
    ],
)
def test_what_is_owed(looked, causes, now, occasion):
    found = owed([at(one) for one in looked], [(what, at(when)) for what, when in causes], at(now), ZONE)
    assert (found.occasion if found else None) == occasion


def test_it_is_owed_since_the_days_first_instant_or_since_what_happened():
    assert owed([], [], at(1), ZONE).since == MIDNIGHT
    assert owed([at(0)], [("rain", at(1))], at(2), ZONE).since == at(1)


def test_a_day_is_the_sites_own_and_one_on_which_the_clocks_change_is_one_day():
    change = datetime(2027, 4, 3, 13, 30, tzinfo=UTC)  # 4 April 2027, 02:30 summer time, an hour before the clocks go back
    assert owed([change], [], change + 22 * HOUR, ZONE) is None
    assert owed([change], [], change + 23 * HOUR, ZONE).occasion == "start"


def test_the_words_say_what_nobody_does_before_it():
    assert owed([], [], at(1), ZONE).says == "No look-over yet today: nobody digs before it."


def test_a_look_over_declares_each_point_as_it_was_found():
    whole, marks = declared(()), declared(("marks",))
    assert all(says in whole for says in POINTS.values())
    assert (POINTS["marks"] in marks, "Not so: the marks cannot all be read." in marks, POINTS["crew"] in marks) == (False, True, True)
    assert POINTS.keys() == POINTS_WRONG.keys()


def test_where_owners_agreed_on_conditions_one_point_more_is_declared():
    assert WITH_OWNERS[OWNERS] in declared((), agreed=True)
    assert WITH_OWNERS[OWNERS] not in declared(())
    gone = declared((OWNERS,), agreed=True)
    assert (WITH_OWNERS[OWNERS] in gone, f"Not so: {WRONG_SAYS[OWNERS]}." in gone) == (False, True)
    assert WRONG_SAYS[OWNERS] in because((OWNERS,), "")


def test_a_stop_by_a_look_over_says_why():
    assert because(("crew", "marks"), "Sand over the north end.") == (
        "At the look-over: the marks cannot all be read; somebody who digs is not named on this permit or has not been told of it. Sand over the north end."
    )
