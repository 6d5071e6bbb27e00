"""Site days and elapsed hours where clocks change, against dates that were announced for them."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.rules.dates import day_start, end_of_day, instant_text, local_day

# When each day began, in UTC. The rules are those of the IANA time zone database (tzdata); each line says which one makes the day special.
# The acts and decrees named with them are from memory.
BEGINNINGS = [
    ("Pacific/Auckland", date(2027, 4, 4), "2027-04-03T11:00:00+00:00"),  # summer time (+13) until 3 am, first Sunday in April (tzdata: NZ)
    ("Pacific/Auckland", date(2027, 4, 5), "2027-04-04T12:00:00+00:00"),  # then +12
    ("Pacific/Auckland", date(2027, 9, 26), "2027-09-25T12:00:00+00:00"),  # +12 until 2 am, last Sunday in September
    ("Pacific/Auckland", date(2027, 9, 27), "2027-09-26T11:00:00+00:00"),
    ("Pacific/Honolulu", date(2027, 3, 14), "2027-03-14T10:00:00+00:00"),  # no summer time (tzdata: HST)
    ("Pacific/Kiritimati", date(2027, 1, 1), "2026-12-31T10:00:00+00:00"),  # +14, the first to see a day
    ("Asia/Kathmandu", date(2027, 1, 1), "2026-12-31T18:15:00+00:00"),  # +05:45
    ("Australia/Lord_Howe", date(2027, 4, 5), "2027-04-04T13:30:00+00:00"),  # half an hour of summer time: +11 to +10:30
    ("America/St_Johns", date(2027, 3, 15), "2027-03-15T02:30:00+00:00"),  # -03:30 to -02:30
    ("Europe/London", date(2026, 3, 29), "2026-03-29T00:00:00+00:00"),  # European Union and GB: last Sunday in March, 01:00 UTC
    ("Europe/London", date(2026, 3, 30), "2026-03-29T23:00:00+00:00"),
    # Midnight skipped: clocks went from 23:59:59 to 01:00 (tzdata: Brazil, decree 6558 of 2008, third Sunday in October; 4 November in 2018)
    ("America/Sao_Paulo", date(2017, 10, 15), "2017-10-15T03:00:00+00:00"),
    ("America/Sao_Paulo", date(2018, 11, 4), "2018-11-04T03:00:00+00:00"),
    ("Asia/Beirut", date(2026, 3, 29), "2026-03-28T22:00:00+00:00"),  # midnight to 1 am (tzdata: Lebanon)
    # Midnight twice: the first one begins the day (tzdata: Cuba falls back at 1 am to midnight, first Sunday in November)
    ("America/Havana", date(2026, 11, 1), "2026-11-01T04:00:00+00:00"),
    # A minute after midnight back to the day before: the first midnight begins the day (tzdata: Newfoundland until 2011, at 00:01)
    ("America/St_Johns", date(2010, 11, 7), "2010-11-07T02:30:00+00:00"),
    # A whole day skipped: Samoa went from 29 to 31 December 2011 (International Date Line Act 2011), Kwajalein over 21 August 1993 (tzdata)
    ("Pacific/Apia", date(2011, 12, 29), "2011-12-29T10:00:00+00:00"),
    ("Pacific/Apia", date(2011, 12, 30), "2011-12-30T10:00:00+00:00"),
    ("Pacific/Apia", date(2011, 12, 31), "2011-12-30T10:00:00+00:00"),
    ("Pacific/Kwajalein", date(1993, 8, 21), "1993-08-21T12:00:00+00:00"),
    ("Pacific/Kwajalein", date(1993, 8, 22), "1993-08-21T12:00:00+00:00"),
]

# Twelve elapsed hours over a change of clocks, in the zone's own time. Worked out with the zone's published changes, apart from this code.
TWELVE_HOURS = [
    ("2026-03-28T20:00:00+00:00", "2026-03-29T09:00:00+01:00"),
    ("2026-10-24T20:00:00+01:00", "2026-10-25T07:00:00+00:00"),
]

ZONES = ["Pacific/Auckland", "Pacific/Apia", "America/Sao_Paulo", "Pacific/Honolulu", "Australia/Lord_Howe", "Africa/Monrovia", "America/Havana", "Asia/Tehran"]


def instant(text: str) -> datetime:
    return datetime.fromisoformat(text)


@pytest.mark.parametrize(("zone", "day", "began"), BEGINNINGS)
def test_a_day_begins_at_its_first_instant_there(zone: str, day: date, began: str) -> None:
    assert day_start(day, ZoneInfo(zone)) == instant(began)


@pytest.mark.parametrize(("began", "ended"), TWELVE_HOURS)
def test_hours_are_elapsed_hours(began: str, ended: str) -> None:
    assert instant_text(instant(began) + timedelta(hours=12), ZoneInfo("Europe/London")) == ended


def test_an_hour_that_comes_twice_is_told_apart_by_its_offset() -> None:
    """25 October 2026, 01:30 in London: once in summer time, once after it (tzdata: GB-Eire)."""
    both = [instant_text(datetime(2026, 10, 25, hour, 30, tzinfo=UTC), ZoneInfo("Europe/London")) for hour in (0, 1)]
    assert both == ["2026-10-25T01:30:00+01:00", "2026-10-25T01:30:00+00:00"]


def test_today_depends_on_the_site() -> None:
    at = datetime(2026, 6, 30, 14, 30, tzinfo=UTC)
    assert local_day(at, ZoneInfo("Australia/Sydney")) == date(2026, 7, 1)
    assert local_day(at, ZoneInfo("Pacific/Honolulu")) == date(2026, 6, 30)


def test_evidence_is_good_through_its_due_date_and_lapsed_the_day_after() -> None:
    """The due date is the last valid day, in the site's own time: our choice among several conventions, stated in the README."""
    zone = ZoneInfo("Australia/Sydney")
    end = end_of_day(date(2026, 3, 1), zone)
    assert [local_day(end - timedelta(seconds=1), zone), local_day(end, zone)] == [date(2026, 3, 1), date(2026, 3, 2)]


@given(st.sampled_from(ZONES), st.dates(date(1925, 1, 1), date(2036, 12, 31)))
def test_no_instant_of_a_day_comes_before_its_beginning(zone: str, day: date) -> None:
    """Against a walk through the zone's own clock, a minute at a time around the day's beginning."""
    began = day_start(day, ZoneInfo(zone))
    around = [began + timedelta(minutes=minute) for minute in range(-180, 180)]
    assert all((local_day(at, ZoneInfo(zone)) >= day) == (at >= began) for at in around)
