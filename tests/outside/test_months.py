"""Months and days against a law case, another implementation, and tables worked out outside this code."""

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from records.rules.dates import add_days, add_months

# Dodds v Walker [1981] 1 WLR 1027 (House of Lords): notice served on 30 September 1978 with four months to apply. The time ran out on 30 January 1979;
# an application on the 31st was a day late. The period ends on the corresponding date, and month ends do not stick.
DODDS_V_WALKER = (date(1978, 9, 30), 4, date(1979, 1, 30))

# The corresponding date, else the month's last day. Worked out with python-dateutil 4.0.0, apart from this code; the first row is the law case.
CORRESPONDING = [
    DODDS_V_WALKER,
    (date(2024, 1, 31), 1, date(2024, 2, 29)),
    (date(2025, 1, 31), 1, date(2025, 2, 28)),
    (date(2025, 1, 30), 1, date(2025, 2, 28)),
    (date(2025, 8, 31), 6, date(2026, 2, 28)),
    (date(2023, 8, 31), 6, date(2024, 2, 29)),
    (date(2025, 4, 30), 1, date(2025, 5, 30)),
    (date(2023, 2, 28), 12, date(2024, 2, 28)),
    (date(2024, 2, 29), 12, date(2025, 2, 28)),
    (date(2024, 2, 29), 48, date(2028, 2, 29)),
    (date(2025, 3, 10), 36, date(2028, 3, 10)),
    (date(2025, 6, 30), 60, date(2030, 6, 30)),
    (date(2020, 2, 29), 60, date(2025, 2, 28)),
]

# Steps of a month are not months at once (worked out the same way): (start, single steps, where they lead, where the same months at once lead).
CHAINED = [
    (date(2025, 1, 31), 2, date(2025, 3, 28), date(2025, 3, 31)),
    (date(2024, 1, 31), 3, date(2024, 4, 29), date(2024, 4, 30)),
]

# Twelve months are not 365 days (worked out the same way).
YEARS = [
    (date(2024, 2, 28), date(2025, 2, 28), date(2025, 2, 27)),
    (date(2023, 3, 1), date(2024, 3, 1), date(2024, 2, 29)),
]

# Days, by the calendar (worked out with Python's own date arithmetic).
DAYS = [
    (date(2026, 1, 30), 30, date(2026, 3, 1)),
    (date(2024, 2, 1), 30, date(2024, 3, 2)),
    (date(2026, 2, 1), 28, date(2026, 3, 1)),
    (date(2026, 12, 15), 28, date(2027, 1, 12)),
    (date(2026, 10, 1), 90, date(2026, 12, 30)),
]

any_day = st.dates(date(1900, 1, 1), date(9998, 12, 31))


@pytest.mark.parametrize(("start", "months", "end"), CORRESPONDING)
def test_a_period_of_months_ends_on_the_corresponding_date(start: date, months: int, end: date) -> None:
    assert add_months(start, months) == end


@pytest.mark.parametrize(("start", "steps", "stepwise", "at_once"), CHAINED)
def test_months_are_counted_from_the_original_date(start: date, steps: int, stepwise: date, at_once: date) -> None:
    walked = start
    for _ in range(steps):
        walked = add_months(walked, 1)
    assert (walked, add_months(start, steps)) == (stepwise, at_once)


@pytest.mark.parametrize(("start", "twelve_months", "days_365"), YEARS)
def test_twelve_months_are_not_365_days(start: date, twelve_months: date, days_365: date) -> None:
    assert (add_months(start, 12), add_days(start, 365)) == (twelve_months, days_365)


@pytest.mark.parametrize(("start", "days", "end"), DAYS)
def test_days_are_calendar_days(start: date, days: int, end: date) -> None:
    assert add_days(start, days) == end


@given(any_day, st.integers(1, 1200))
def test_months_agree_with_dateutil_as_long_as_its_calendar_goes(start: date, months: int) -> None:
    if (start.year * 12 + start.month - 1 + months) // 12 <= 9999:
        wanted = start + relativedelta(months=months)
        assert add_months(start, months) == (wanted if wanted <= date(9999, 12, 30) else None)


@given(any_day, st.integers(1, 1200))
def test_months_agree_with_counting_on_a_calendar(start: date, months: int) -> None:
    """No library: the month is counted off, and the day goes back from the start's own until there is one."""
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    found = next((day for day in _days_down(year, month + 1, start.day)), None)
    assert add_months(start, months) == (found if found and found <= date(9999, 12, 30) else None)


def _days_down(year: int, month: int, day: int) -> list[date]:
    if year > 9999:
        return []
    first = date(year, month, 1)
    return [first + timedelta(days=back - 1) for back in range(day, 0, -1) if _same_month(first, back - 1)]


def _same_month(first: date, days: int) -> bool:
    return (date.max - first).days >= days and (first + timedelta(days=days)).month == first.month
