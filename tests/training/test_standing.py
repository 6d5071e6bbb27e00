"""How somebody stands in one thing on one day: every state at its boundary, and the same as the gate finds it."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.rules.cover import Award, award_spans
from records.rules.dates import day_start
from records.rules.words import AUTHORISATIONS
from training.rules.standing import gap_before, standing, standings

ZONE = ZoneInfo("Europe/London")
THING = "induction"


def award(name="A-1", awarded="2024-03-04", months=36, **other):
    days = {key: date.fromisoformat(day) for key, day in other.items()}
    return Award(name, frozenset({THING}), date.fromisoformat(awarded), months, **days)


def on(day, *awards, left=None):
    at = day_start(date.fromisoformat(day), ZONE) + timedelta(hours=12)
    return standing(awards, THING, left and date.fromisoformat(left), ZONE, at)


RENEWED, LATE = award("A-2", "2027-03-05"), award("A-2", "2027-03-08")
# day, awards, day of leaving: the state, the last good day, since when not
CASES = [
    ("2027-03-04", (award(),), None, "in_date", "2027-03-04", None),
    ("2027-03-05", (award(),), None, "lapsed", "2027-03-04", "2027-03-05"),
    ("2024-03-04", (award(),), None, "in_date", "2027-03-04", None),
    ("2024-03-03", (award(),), None, "not_begun", None, None),
    ("2027-01-01", (), None, "never", None, None),
    ("2027-01-01", (award(months=None),), None, "in_date", None, None),
    ("2027-02-28", (award(awarded="2024-02-29"),), None, "in_date", "2027-02-28", None),
    ("2027-03-01", (award(awarded="2024-02-29"),), None, "lapsed", "2027-02-28", "2027-03-01"),
    ("2027-01-01", (award(expires_on="2027-01-01"),), None, "in_date", "2027-01-01", None),
    ("2027-01-01", (award(withdrawn_on="2027-01-01"),), None, "withdrawn", "2026-12-31", "2027-01-01"),
    ("2026-12-31", (award(withdrawn_on="2027-01-01"),), None, "in_date", "2026-12-31", None),
    ("2027-01-01", (award(),), "2027-02-01", "in_date", "2027-02-01", None),
    ("2027-02-01", (award(),), "2027-02-01", "in_date", "2027-02-01", None),
    ("2027-02-02", (award(),), "2027-02-01", "left", None, "2027-02-02"),
    ("2027-03-06", (award(), RENEWED), None, "in_date", "2030-03-05", None),
]


@pytest.mark.parametrize(("day", "awards", "left", "state", "good_through", "since"), CASES)
def test_each_state_begins_and_ends_on_its_day(day, awards, left, state, good_through, since):
    found = on(day, *awards, left=left)
    assert (found.state, found.good_through and found.good_through.isoformat(), found.since and found.since.isoformat()) == (state, good_through, since)


def test_a_renewal_booked_in_time_is_told_and_leaves_no_gap():
    found = on("2027-03-01", award(), RENEWED)
    assert ([one.award for one in found.booked], gap_before(found)) == (["A-2"], None)


def test_a_renewal_booked_too_late_leaves_the_days_between():
    assert gap_before(on("2027-03-01", award(), LATE)) == (date(2027, 3, 5), date(2027, 3, 7))


@pytest.mark.parametrize(("lead", "day"), [(60, "2027-01-03"), (1, "2027-03-03"), (366, "2026-03-03")])
def test_it_is_to_be_rebooked_so_many_days_before_its_last_good_one(lead, day):
    assert on("2027-01-01", award()).rebook_from(lead) == date.fromisoformat(day)


@pytest.mark.parametrize("found", [on("2027-03-05", award()), on("2027-01-01", award(months=None)), on("2027-01-01")])
def test_what_never_ends_or_has_ended_has_no_day_to_rebook(found):
    assert found.rebook_from(60) is None


def test_it_rests_on_the_award_that_ends_last():
    assert on("2027-01-01", award("A-1"), award("A-2", "2023-05-01", 60)).award.award == "A-2"


def test_every_authorisation_is_told_in_the_trade_s_order():
    at = datetime(2027, 1, 1, 12, tzinfo=ZONE)
    assert tuple(standings((award(),), None, ZONE, at)) == AUTHORISATIONS


DAYS = st.dates(date(2025, 1, 1), date(2026, 12, 31))


@st.composite
def awards(draw):
    """Up to four awards about the same time, some withdrawn, some without an end."""
    made = []
    for name in range(draw(st.integers(0, 4))):
        first = draw(DAYS)
        withdrawn = draw(st.none() | st.dates(first, date(2027, 6, 30)))
        made.append(Award(f"A-{name}", frozenset({THING}), first, draw(st.none() | st.integers(1, 18)), None, withdrawn))
    return tuple(made)


@given(awards(), DAYS, st.none() | DAYS)
def test_in_date_is_what_the_gate_calls_covered(some, day, left):
    at = day_start(day, ZONE) + timedelta(hours=9)
    covered = any(span.holds(at) for span in award_spans(some, THING, ZONE, day)) and (left is None or left >= day)
    assert standing(some, THING, left, ZONE, at).in_date == covered


@given(awards(), DAYS)
def test_the_last_good_day_is_the_last_on_which_what_is_known_now_covers(some, day):
    found = standing(some, THING, None, ZONE, day_start(day, ZONE) + timedelta(hours=9))
    if found.in_date and found.good_through is not None:
        spans = award_spans(some, THING, ZONE, day, foreseen=True)

        def covered(later):
            return any(span.holds(day_start(later, ZONE)) for span in spans)

        assert all(covered(day + timedelta(days=more)) for more in range((found.good_through - day).days + 1))
        assert not covered(found.good_through + timedelta(days=1))
