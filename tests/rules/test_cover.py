"""Cover by awards and by calibrations, against the same rules told day by day."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from locates.rules.fitness import Calibration, calibration_failure, calibration_spans
from records.rules.cover import Award, Span, award_failure, award_spans, cover_end, first_gap, unbroken_end
from records.rules.dates import add_months, day_start
from tests.rules.cast import IN, OUT, UNKNOWN

ZONES = [ZoneInfo(name) for name in ("Pacific/Auckland", "Pacific/Honolulu", "America/New_York")]
FIRST = date(2027, 3, 1)
HORIZON = 60

days = st.integers(0, 40).map(lambda count: FIRST + timedelta(days=count))


@st.composite
def awards(draw: st.DrawFn) -> list[Award]:
    """A handful of awards within six weeks, some for another thing."""
    made = []
    for number in range(draw(st.integers(0, 5))):
        awarded = draw(days)
        months, lasts, until = draw(st.sampled_from([None, 1])), draw(st.integers(0, 20)), draw(st.none() | st.integers(0, 20))
        expires = draw(st.sampled_from([None, awarded + timedelta(days=lasts)]))
        withdrawn = None if until is None else awarded + timedelta(days=until)
        made.append(Award(f"A-{number}", frozenset(draw(st.sampled_from([("dig",), ("dig", "clamp"), ("clamp",)]))), awarded, months, expires, withdrawn))
    return made


def covered(made: list[Award], today: date, known: date, day: date) -> bool:
    """Does some award begun by today hold on the day: not expired, and nothing withdrawn, as far as is known, from it on up to the day?"""
    for_it = [award for award in made if "dig" in award.authorises]
    withdrawals = [award.withdrawn_on for award in for_it if award.withdrawn_on and award.withdrawn_on <= known]
    begun = [award for award in for_it if award.awarded_on <= min(day, today)]
    return any(_lasts(award) >= day and not any(award.awarded_on <= gone <= day for gone in withdrawals) for award in begun)


def _lasts(award: Award) -> date:
    if award.expires_on:
        return award.expires_on
    return add_months(award.awarded_on, award.valid_months) if award.valid_months else date.max


def ahead(day: date, how_far: int = HORIZON) -> list[date]:
    return [day + timedelta(days=count) for count in range(how_far)]


@given(awards(), days, days, st.integers(0, 10), st.sampled_from(ZONES))
def test_cover_fails_first_on_the_first_day_that_no_award_covers(made: list, today: date, first: date, length: int, zone: ZoneInfo) -> None:
    spans = award_spans(made, "dig", zone, today)
    bare = next((day for day in ahead(first, length + 1) if not covered(made, today, today, day)), None)
    gap = first_gap(spans, day_start(first, zone), day_start(first + timedelta(days=length), zone))
    assert gap == (None if bare is None else day_start(bare, zone))


@given(awards(), days, st.none() | days, st.sampled_from(ZONES))
def test_cover_ends_before_the_first_day_that_what_is_recorded_leaves_bare(made: list, today: date, left: date | None, zone: ZoneInfo) -> None:
    bare = next((day for day in ahead(today) if not covered(made, today, date.max, day) or (left and day > left)), None)
    end = cover_end(made, "dig", zone, today, day_start(today, zone), left)
    wanted = None if bare is None else day_start(bare, zone)
    assert end == wanted or (bare == today and end <= wanted)


@given(awards(), days, st.sampled_from(ZONES))
def test_the_reason_fits_what_came_before(made: list, today: date, zone: ZoneInfo) -> None:
    spans, at = award_spans(made, "dig", zone, today), day_start(today, zone)
    if first_gap(spans, at, at) is None:
        return
    failure = award_failure(made, spans, "dig", at)
    begins = [award.awarded_on for award in made if "dig" in award.authorises]
    assert failure.how in _reasons(begins, today)
    assert failure.since is None or not any(covered(made, today, today, day) for day in ahead(FIRST, 50) if failure.since <= day_start(day, zone) <= at)


def _reasons(begins: list[date], today: date) -> set[str]:
    if any(day <= today for day in begins):
        return {"lapsed", "withdrawn"}
    return {"not_begun"} if begins else {"never"}


@st.composite
def calibrations(draw: st.DrawFn) -> list[Calibration]:
    made = []
    for number in draw(st.permutations(range(draw(st.integers(0, 5))))):
        done = draw(days)
        due = draw(st.none() | st.integers(0, 20))
        made.append(
            Calibration(
                f"K-{number}",
                done,
                None if due is None else done + timedelta(days=due),
                draw(st.sampled_from([IN, OUT, UNKNOWN])),
                draw(st.sampled_from([IN, IN, OUT, UNKNOWN])),
            )
        )
    return sorted(made, key=lambda one: one.order)


def calibrated(made: list[Calibration], day: date) -> str:
    """What the latest calibration up to the day says of it: nothing where it covers the day."""
    by_then = [one for one in made if one.calibrated_on <= day]
    if not by_then:
        return "not_yet_calibrated"
    last = max(by_then, key=lambda one: (one.calibrated_on, one.calibration))
    if last.as_left != IN:
        return "calibration_failed"
    good = day <= (last.due_on or add_months(last.calibrated_on, 1)) and (last.as_found == IN or day > last.calibrated_on)
    return "" if good else "calibration_lapsed"


@given(calibrations(), days, st.integers(0, 10), st.sampled_from(ZONES))
def test_calibration_fails_first_on_the_first_day_that_the_latest_does_not_cover(made: list, first: date, length: int, zone: ZoneInfo) -> None:
    spans = calibration_spans(made, 1, zone)
    bare = next((day for day in ahead(first, length + 1) if calibrated(made, day)), None)
    gap = first_gap(spans, day_start(first, zone), day_start(first + timedelta(days=length), zone))
    assert gap == (None if bare is None else day_start(bare, zone))
    assert gap is None or calibration_failure(made, spans, gap, zone).how == calibrated(made, bare)


@given(calibrations(), days, st.sampled_from(ZONES))
def test_a_lapse_is_told_since_the_last_day_that_was_covered(made: list, today: date, zone: ZoneInfo) -> None:
    if calibrated(made, today) == "calibration_lapsed":
        last = next((day for day in reversed(ahead(FIRST, (today - FIRST).days)) if not calibrated(made, day)), None)
        since = calibration_failure(made, calibration_spans(made, 1, zone), day_start(today, zone), zone).since
        assert since == (None if last is None else day_start(last + timedelta(days=1), zone))


def at(hour: int) -> datetime:
    return datetime.fromisoformat(f"2027-03-04T{hour:02}:00:00+00:00")


# spans from one hour until another (none: for ever), and until when they cover without a gap from 10 o'clock on
UNIONS = [
    ([], 10),
    ([(8, 9)], 10),
    ([(8, 10)], 10),
    ([(10, 12)], 12),
    ([(11, 12)], 10),
    ([(9, 11), (11, 13)], 13),
    ([(11, 13), (9, 11)], 13),
    ([(9, 11), (12, 13)], 11),
    ([(9, 14), (11, 13)], 14),
    ([(9, 11), (10, None)], None),
    ([(10, 10)], 10),
]


@pytest.mark.parametrize(("hours", "end"), UNIONS)
def test_cover_is_the_union_of_half_open_spans(hours: list, end: int | None) -> None:
    spans = [Span(at(begins), None if ends is None else at(ends)) for begins, ends in hours]
    assert unbroken_end(spans, at(10)) == (None if end is None else at(end))


@pytest.mark.parametrize(("last", "gap"), [(11, None), (12, 12), (13, 12)])
def test_both_ends_of_the_time_asked_about_count(last: int, gap: int | None) -> None:
    assert first_gap([Span(at(9), at(12))], at(10), at(last)) == (None if gap is None else at(gap))


def test_an_award_is_good_through_its_own_date_or_its_course_s_months_or_for_ever() -> None:
    award = Award("A-1", frozenset(), date(2028, 2, 29), 12, date(2028, 12, 31))
    plain = Award("A-2", frozenset(), date(2028, 2, 29), 12)
    assert (award.good_through(), plain.good_through()) == (date(2028, 12, 31), date(2029, 2, 28))
    assert Award("A-3", frozenset(), date(2028, 2, 29)).good_through() is None
