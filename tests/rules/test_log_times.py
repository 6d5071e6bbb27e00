"""Times in a log: read in the one form that the layout says, by the one clock that it says."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from locates.logs.rules.times import DAY_FIRST, EPOCH, MONTH_FIRST, YEAR_FIRST, Clock, instant
from records.rules.text import Unfit

SITE, OSLO = ZoneInfo("Pacific/Auckland"), ZoneInfo("Europe/Oslo")
INSTANTS = st.datetimes(datetime(1990, 1, 2), datetime(2099, 12, 30), timezones=st.just(UTC))


@pytest.mark.parametrize(
    ("form", "zone", "text", "told"),
    [
        (YEAR_FIRST, SITE, "2027-03-04T16:05:30", "2027-03-04T03:05:30+00:00"),
        (YEAR_FIRST, SITE, "2027/3/4 16:05", "2027-03-04T03:05:00+00:00"),
        (YEAR_FIRST, None, "2027-03-04T16:05:30.25+13:00", "2027-03-04T03:05:30.250000+00:00"),
        (YEAR_FIRST, None, "2027-03-04 03:05:30Z", "2027-03-04T03:05:30+00:00"),
        (YEAR_FIRST, None, "2027-03-03T22:05:30-0500", "2027-03-04T03:05:30+00:00"),
        (DAY_FIRST, SITE, "04/03/2027 16:05:30", "2027-03-04T03:05:30+00:00"),
        (DAY_FIRST, SITE, "4.3.2027 16:05:30,5", "2027-03-04T03:05:30.500000+00:00"),
        (MONTH_FIRST, SITE, "03/04/2027 16:05:30", "2027-03-04T03:05:30+00:00"),
        (MONTH_FIRST, SITE, "03/04/2027 4:05:30 PM", "2027-03-04T03:05:30+00:00"),
        (MONTH_FIRST, SITE, "03/04/2027, 12:05 am", "2027-03-03T11:05:00+00:00"),
        (EPOCH, None, "1804129530", "2027-03-04T03:05:30+00:00"),
        (EPOCH, None, "1804129530.125", "2027-03-04T03:05:30.125000+00:00"),
    ],
)
def test_a_time_is_read_in_its_form(form, zone, text, told):
    assert instant(Clock(form, zone).read(text)).isoformat() == told


@pytest.mark.parametrize(
    ("form", "zone", "text", "says"),
    [
        (DAY_FIRST, SITE, "03/14/2027 16:05", "not in the calendar"),
        (MONTH_FIRST, SITE, "14/03/2027 16:05", "not in the calendar"),
        (DAY_FIRST, SITE, "04/03/27 16:05", "is not such a time: day first"),
        (DAY_FIRST, SITE, "2027-03-04 16:05", "is not such a time: day first"),
        (YEAR_FIRST, SITE, "2027-03-04", "is not such a time: year first"),
        (YEAR_FIRST, None, "2027-03-04 16:05", "has no offset"),
        (YEAR_FIRST, SITE, "2027-03-04 16:05Z", "bears an offset of its own"),
        (YEAR_FIRST, None, "2027-03-04 16:05+19:00", "no such offset"),
        (YEAR_FIRST, SITE, "2027-03-04 25:05", "not in the calendar"),
        (YEAR_FIRST, SITE, "2027-03-04 13:05 PM", "1 to 12 was expected"),
        (YEAR_FIRST, SITE, "1970-01-01 00:00", "out of range"),
        (YEAR_FIRST, OSLO, "2027-03-28 02:30", "never was in Europe/Oslo"),
        (YEAR_FIRST, OSLO, "2027-10-31 02:30", "came twice in Europe/Oslo"),
        (EPOCH, None, "1804129530000", "not thousandths"),
        (EPOCH, None, "2027-03-04", "seconds since 1970"),
    ],
)
def test_a_time_that_is_none_is_told_and_not_guessed_at(form, zone, text, says):
    with pytest.raises(Unfit, match=says):
        Clock(form, zone).read(text)


@given(INSTANTS, st.sampled_from([(YEAR_FIRST, "%Y-%m-%dT%H:%M:%S"), (DAY_FIRST, "%d/%m/%Y %H:%M:%S"), (MONTH_FIRST, "%m.%d.%Y %I:%M:%S %p")]))
def test_what_is_written_in_a_form_is_read_to_the_same_second(at, how):
    form, pattern = how
    assert instant(Clock(form, ZoneInfo("UTC")).read(at.strftime(pattern))) == at.replace(microsecond=0)


@given(INSTANTS, st.sampled_from(["Pacific/Auckland", "America/St_Johns", "Asia/Kolkata"]))
def test_a_local_time_is_the_instant_at_which_its_clock_showed_it(at, name):
    zone = ZoneInfo(name)
    local = at.replace(microsecond=0).astimezone(zone)
    if local.replace(fold=0).utcoffset() == local.replace(fold=1).utcoffset():
        assert instant(Clock(YEAR_FIRST, zone).read(f"{local:%Y-%m-%d %H:%M:%S}")) == local


@given(st.integers(631_152_000, 4_102_444_799))
def test_seconds_since_1970_count_from_there(seconds):
    assert instant(Clock(EPOCH, None).read(str(seconds))) == datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)
