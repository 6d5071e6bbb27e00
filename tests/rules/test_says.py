"""Dates and distances in words."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from records.rules.says import away, end_says, full_says, window_says

AUCKLAND, HONOLULU = ZoneInfo("Pacific/Auckland"), ZoneInfo("Pacific/Honolulu")
AT = datetime(2027, 3, 3, 19, 30, tzinfo=UTC)  # 08:30 on 4 March in Auckland, 09:30 on 3 March in Honolulu


@pytest.mark.parametrize(
    ("later", "told"),
    [
        ({}, "now"),
        ({"seconds": 59}, "now"),
        ({"minutes": 1}, "in 1 minute"),
        ({"minutes": 59}, "in 59 minutes"),
        ({"hours": 1}, "in 1 hour"),
        ({"hours": 15, "minutes": 29}, "in 15 hours"),
        ({"hours": 15, "minutes": 30}, "tomorrow"),
        ({"hours": 39, "minutes": 29}, "tomorrow"),
        ({"hours": 39, "minutes": 30}, "in 2 days"),
        ({"days": 12}, "in 12 days"),
        ({"days": 99}, "in 99 days"),
        ({"days": 100}, "in over 3 months"),
        ({"days": 731}, "in over 23 months"),
        ({"days": 732}, "in over 2 years"),
        ({"days": -900}, "over 2 years ago"),
        ({"days": 12345}, "in over 33 years"),
        ({"minutes": -1}, "1 minute ago"),
        ({"hours": -8, "minutes": -30}, "8 hours ago"),
        ({"hours": -8, "minutes": -31}, "yesterday"),
        ({"days": -2}, "2 days ago"),
    ],
)
def test_days_are_counted_on_the_calendar_of_the_site(later, told):
    assert away(AT + timedelta(**later), AT, AUCKLAND) == told


def test_shortly_before_midnight_the_next_morning_is_told_in_hours():
    late = datetime(2027, 3, 4, 10, 30, tzinfo=UTC)  # 23:30
    assert away(late + timedelta(hours=2), late, AUCKLAND) == "in 2 hours"


def test_the_same_instant_is_another_day_elsewhere():
    instant = datetime(2027, 3, 4, 11, 0, tzinfo=UTC)
    assert (away(instant, AT, AUCKLAND), away(instant, AT, HONOLULU)) == ("tomorrow", "tomorrow")
    assert away(instant - timedelta(hours=2), AT, HONOLULU) == "in 13 hours"


@pytest.mark.parametrize(
    ("end", "told"),
    [
        (datetime(2027, 3, 4, 11, tzinfo=UTC), "through 4 Mar 2027"),
        (datetime(2027, 3, 4, 11, 0, 1, tzinfo=UTC), "until 5 Mar 2027 00:00:01 UTC+13:00"),
        (datetime(2027, 3, 4, 10, 59, tzinfo=UTC), "until 4 Mar 2027 23:59 UTC+13:00"),
    ],
)
def test_an_end_at_midnight_is_told_as_the_day_before_it(end, told):
    assert end_says(end, AUCKLAND) == told


def test_where_a_day_has_no_midnight_its_first_instant_ends_the_day_before():
    """Clocks in Santiago go from midnight to one o'clock on 5 September 2027 (the interpreter's zone table)."""
    assert end_says(datetime(2027, 9, 5, 4, tzinfo=UTC), ZoneInfo("America/Santiago")) == "through 4 Sep 2027"


def test_an_instant_comes_with_its_distance_from_utc_and_from_now():
    assert full_says(AT + timedelta(days=3), AT, AUCKLAND) == "7 Mar 2027 08:30 UTC+13:00, in 3 days"


def test_a_window_names_its_distance_from_utc_once_unless_the_clocks_change_in_it():
    assert window_says(AT, AT + timedelta(days=1), AUCKLAND) == "4 Mar 2027 08:30 to 5 Mar 2027 08:30 UTC+13:00"
    changed = window_says(datetime(2027, 4, 3, 1, tzinfo=UTC), datetime(2027, 4, 4, 1, tzinfo=UTC), AUCKLAND)
    assert changed == "3 Apr 2027 14:00 UTC+13:00 to 4 Apr 2027 13:00 UTC+12:00"
