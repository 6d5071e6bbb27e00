"""A locate's logs beside what it claims: each kind of difference, told once, in words with numbers."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from shapely import box

from locates.logs.rules.beside import Claim, Span, differences, figures, lasting, square
from locates.logs.rules.times import millis
from locates.logs.rules.use import Account, Patch, Use, Yardstick

ZONE = ZoneInfo("Pacific/Auckland")
BEGUN = datetime(2027, 3, 3, 18, 30, tzinfo=UTC)
ENDED = BEGUN + timedelta(hours=3)
SPAN = Span(BEGUN, ENDED, ZONE)
AREA = box(0, 0, 10, 10)
CLAIMS = [Claim("SW-1", "passive_power", AREA), Claim("SW-2", "passive_power", AREA)]


def shows(technique="passive_power", ground=AREA, first=BEGUN, last=BEGUN + timedelta(minutes=20), days=None, unplaced=0):
    uses = {technique: (Use(millis(first), millis(last), millis(last) - millis(first), 100),)}
    patches = {technique: (Patch(millis(first), millis(last), ground),)} if ground is not None else {}
    by = Yardstick(Decimal(60), Decimal("1.0"), Decimal("0.1"))
    return Account(by, 100, unplaced, first, last, days or {"2027-03-04": 100}, uses, {technique: (1, 9)}, patches)


def told(*accounts, claims=CLAIMS, span=SPAN):
    return [(one.code, one.says) for one in differences(figures(claims, span, accounts), span, accounts)]


def test_what_fits_is_told_in_figures_alone():
    (figure,) = figures(CLAIMS, SPAN, [shows()])
    assert (figure.seconds, figure.rows, figure.sweeps, figure.claimed_m2, figure.unseen_m2, figure.seconds_a_m2) == (1200, 100, ("SW-1", "SW-2"), 100, 0, 12)
    assert told(shows()) == []


def test_without_a_log_nothing_differs():
    assert told() == []
    assert [one.seen for one in figures(CLAIMS, SPAN, [])] == [None]


def test_a_technique_claimed_and_not_in_the_log():
    assert told(shows("induction")) == [("technique.absent", "Passive power is claimed by sweeps SW-1 and SW-2, and the log never was in that mode.")]


def test_a_technique_in_the_log_only_at_another_time():
    late = shows(first=ENDED + timedelta(hours=1), last=ENDED + timedelta(hours=2))
    assert told(late) == [
        ("technique.outside", "Passive power is claimed by sweeps SW-1 and SW-2, and the log was in that mode only outside of the locate’s time."),
        ("log.late", "The log ends 4 Mar 2027 12:30 UTC+13:00, 2 h after the locate was finished."),
    ]


@pytest.mark.parametrize(("right", "expected"), [(9.0, 0), (8.9, 1), (5.0, 1)])
def test_ground_claimed_where_the_log_never_was(right, expected):
    found = told(shows(ground=box(0, 0, right, 10)))
    assert len(found) == expected
    if right == 5:
        assert found == [("ground.unseen", "Passive power: of 100.0 m² claimed, 50.0 m² lie farther than 1 m from every reading of the log in that mode.")]


def test_where_the_log_was_is_not_judged_where_it_does_not_say():
    assert told(shows(ground=None, unplaced=100)) == []
    assert told(shows(), shows(ground=None, unplaced=100)) == []


def test_ground_of_another_time_does_not_count():
    both = shows()
    early = BEGUN - timedelta(hours=1)
    apart = replace(both, ground={"passive_power": (Patch(millis(early), millis(early), AREA), Patch(millis(BEGUN), millis(BEGUN), box(0, 0, 1, 1)))})
    assert [code for code, _ in told(apart)] == ["ground.unseen"]


@pytest.mark.parametrize(("before", "expected"), [(60, []), (61, ["log.early"])])
def test_a_log_that_begins_before_the_locate_by_more_than_a_gap(before, expected):
    assert [code for code, _ in told(shows(first=BEGUN - timedelta(seconds=before)))] == expected


def test_a_locate_that_is_not_finished_has_no_end_to_be_late_for():
    under_way = Span(BEGUN, None, ZONE)
    assert told(shows(last=ENDED + timedelta(days=2), days={"2027-03-06": 100}), span=under_way) == []


def test_readings_of_another_day():
    assert told(shows(days={"2027-03-02": 1, "2027-03-04": 90, "2027-03-05": 9})) == [
        ("log.other_day", "1 reading is of another day than the locate: 2 Mar 2027."),
        ("log.other_day", "9 readings are of another day than the locate: 5 Mar 2027."),
    ]


def test_logs_of_one_locate_count_together():
    left, right = shows(ground=box(0, 0, 5, 10)), shows(ground=box(5, 0, 10, 10))
    assert told(left, right) == []
    assert figures(CLAIMS, SPAN, [left, right])[0].seconds == 2400


def test_a_technique_that_is_used_and_not_claimed_is_shown_and_no_difference():
    assert [one.technique for one in figures(CLAIMS, SPAN, [shows(), shows("clamp")])] == ["passive_power", "clamp"]
    assert told(shows(), shows("clamp")) == []


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0, "0 s"), (59, "59 s"), (60, "1 min"), (250, "4 min 10 s"), (9000, "2 h 30 min"), (86400, "1 day"), (180000, "2 days 2 h"), (3599.6, "1 h")],
)
def test_how_long_in_words(seconds, words):
    assert lasting(timedelta(seconds=seconds)) == words


def test_an_area_in_words():
    assert [square(Decimal(one)) for one in ("1234.56", "0.984", "0")] == ["1,234.6 m²", "0.98 m²", "0.00 m²"]
