"""Site days, instants and months, at their edges. What is known of them from outside stands with the outside checks."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from records.rules.dates import (
    LAST_END,
    add_days,
    add_months,
    day_says,
    day_start,
    earlier,
    end_of_day,
    instant_says,
    instant_text,
    is_after,
    last_day_says,
    local_day,
)

SECOND = timedelta(seconds=1)
NOON = datetime(2027, 3, 4, 12, tzinfo=UTC)

# zone, day, its first instant
STARTS = [
    ("Pacific/Auckland", date(2027, 3, 4), "2027-03-03T11:00:00+00:00"),
    ("Pacific/Honolulu", date(2027, 3, 4), "2027-03-04T10:00:00+00:00"),
    ("Pacific/Apia", date(2011, 12, 30), "2011-12-30T10:00:00+00:00"),  # the day was skipped
    ("Pacific/Apia", date(2011, 12, 31), "2011-12-30T10:00:00+00:00"),
    ("America/Sao_Paulo", date(2018, 11, 4), "2018-11-04T03:00:00+00:00"),  # midnight was skipped
    ("America/Sao_Paulo", date(2018, 2, 18), "2018-02-18T03:00:00+00:00"),  # 23:00 came twice the evening before
    ("America/Toronto", date(1919, 3, 31), "1919-03-31T04:30:00+00:00"),  # 23:30 was followed by 00:30
    ("America/Toronto", date(1919, 3, 30), "1919-03-30T05:00:00+00:00"),
    ("Australia/Lord_Howe", date(2027, 4, 5), "2027-04-04T13:30:00+00:00"),
    ("America/New_York", date(2027, 3, 15), "2027-03-15T04:00:00+00:00"),
    ("Europe/London", date(2027, 3, 29), "2027-03-28T23:00:00+00:00"),
    ("Africa/Monrovia", date(1972, 1, 7), "1972-01-07T00:44:30+00:00"),  # midnight was skipped by an offset with seconds
]


@pytest.mark.parametrize(("zone", "day", "start"), STARTS)
def test_a_day_begins_at_its_first_instant_and_the_day_before_ends_there(zone: str, day: date, start: str) -> None:
    here, first = ZoneInfo(zone), datetime.fromisoformat(start)
    assert (day_start(day, here), end_of_day(day - timedelta(days=1), here)) == (first, first)
    assert local_day(first - SECOND, here) < day <= local_day(first, here)


def test_an_end_after_30_december_9999_never_comes() -> None:
    utc = ZoneInfo("UTC")
    assert end_of_day(LAST_END, utc) == datetime(9999, 12, 31, tzinfo=UTC)
    assert (end_of_day(date(9999, 12, 31), utc), end_of_day(None, utc)) == (None, None)


MONTHS = [
    (date(2028, 2, 29), 12, date(2029, 2, 28)),
    (date(2027, 8, 31), 6, date(2028, 2, 29)),
    (date(2027, 1, 31), 1, date(2027, 2, 28)),
    (date(2027, 12, 31), 2, date(2028, 2, 29)),
    (date(2096, 2, 29), 48, date(2100, 2, 28)),
    (date(9998, 12, 30), 12, date(9999, 12, 30)),
    (date(9998, 12, 31), 12, None),
    (date(9998, 12, 31), 13, None),
    (date(9998, 12, 31), 1200, None),
]


@pytest.mark.parametrize(("day", "months", "wanted"), MONTHS)
def test_months_lead_to_the_corresponding_date_or_the_month_s_last(day: date, months: int, wanted: date | None) -> None:
    assert add_months(day, months) == wanted


DAYS = [
    (date(2028, 2, 28), 1, date(2028, 2, 29)),
    (date(2027, 2, 28), 1, date(2027, 3, 1)),
    (date(9999, 12, 1), 29, date(9999, 12, 30)),
    (date(9999, 12, 1), 30, None),
]


@pytest.mark.parametrize(("day", "days", "wanted"), DAYS)
def test_days_are_counted_on_the_calendar(day: date, days: int, wanted: date | None) -> None:
    assert add_days(day, days) == wanted


def test_the_earliest_end_counts_and_one_that_never_comes_does_not() -> None:
    assert (earlier(None, NOON, NOON + SECOND), earlier(None, None), earlier()) == (NOON, None, None)


def test_an_end_is_after_an_instant_only_where_it_is_later() -> None:
    assert (is_after(NOON + SECOND, NOON), is_after(NOON, NOON), is_after(None, NOON)) == (True, False, True)


TOLD = [
    ("UTC", "2027-03-04T12:00:00+00:00"),
    ("Pacific/Auckland", "2027-03-05T01:00:00+13:00"),
    ("Pacific/Honolulu", "2027-03-04T02:00:00-10:00"),
    ("Asia/Kathmandu", "2027-03-04T17:45:00+05:45"),
    ("America/St_Johns", "2027-03-04T08:30:00-03:30"),
]


@pytest.mark.parametrize(("zone", "text"), TOLD)
def test_an_instant_is_told_in_the_zone_s_offset_then(zone: str, text: str) -> None:
    assert instant_text(NOON, ZoneInfo(zone)) == text


def test_fractions_of_a_second_are_not_told() -> None:
    assert instant_text(NOON + timedelta(microseconds=999_999), ZoneInfo("UTC")) == "2027-03-04T12:00:00+00:00"


# An old offset with seconds cannot be written: what is written still is the same instant
@pytest.mark.parametrize("zone", ["Africa/Monrovia", "Europe/Amsterdam", "America/Toronto", "Asia/Kolkata"])
@pytest.mark.parametrize("year", [1900, 1936, 1971])
def test_what_is_told_is_the_same_instant(zone: str, year: int) -> None:
    at = datetime(year, 6, 1, 12, 0, 7, tzinfo=UTC)
    text = instant_text(at, ZoneInfo(zone))
    assert (datetime.fromisoformat(text), len(text)) == (at, 25)


def test_days_and_instants_are_said_so_that_nobody_misreads_them() -> None:
    auckland = ZoneInfo("Pacific/Auckland")
    assert (day_says(date(2027, 3, 4)), day_says(date(999, 12, 31))) == ("4 Mar 2027", "31 Dec 0999")
    assert (instant_says(NOON, auckland), instant_says(NOON + SECOND, auckland)) == ("5 Mar 2027 01:00 UTC+13:00", "5 Mar 2027 01:00:01 UTC+13:00")


def test_the_last_day_of_what_ends_at_midnight_is_the_day_before() -> None:
    auckland = ZoneInfo("Pacific/Auckland")
    assert last_day_says(day_start(date(2027, 3, 5), auckland), auckland) == "4 Mar 2027"
