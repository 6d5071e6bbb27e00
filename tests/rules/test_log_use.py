"""What a log shows: uses with their gaps, the time of each mode, the ground about its readings; and that it reads back as it is kept."""

import math
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from locates.logs.rules import use
from locates.logs.rules.reading import NONE, Rows
from locates.logs.rules.use import Use, Yardstick, account, ground_within, read_back, within, written
from records.rules.text import Unfit

ZONE = ZoneInfo("Pacific/Auckland")
BY = Yardstick(Decimal(60), Decimal(1), Decimal("0.1"))
WORDS = {"P": "passive_power", "R": "passive_radio", "-": ""}
BASE = 1_804_129_500_000


def rows(*readings):
    """Each reading as (second, word, x, y, value), the last three may be left out."""
    made = Rows()
    for second, word, *rest in readings:
        x, y, value = [*rest, *[NONE] * (3 - len(rest))]
        made.at.append(BASE + round(second * 1000))
        made.mode.append(made.words.setdefault(word, len(made.words)))
        for column, one in ((made.x, x), (made.y, y), (made.value, value)):
            column.append(one)
    return made


def summed(*readings, **given):
    return account(rows(*readings), WORDS, ZONE, BY, **given)


def seconds(one, technique):
    return [((each.begins - BASE) / 1000, (each.ends - BASE) / 1000, each.millis / 1000, each.rows) for each in one.uses.get(technique, ())]


def test_readings_without_a_gap_are_one_use():
    assert seconds(summed((0, "P"), (60, "P"), (120, "P")), "passive_power") == [(0, 120, 120, 3)]


def test_a_longer_gap_parts_two_uses_and_counts_for_neither():
    assert seconds(summed((0, "P"), (10, "P"), (70.5, "P"), (80.5, "P")), "passive_power") == [(0, 10, 10, 2), (70.5, 80.5, 10, 2)]


def test_the_time_up_to_the_next_reading_is_the_earlier_mode_s():
    one = summed((0, "P"), (10, "R"), (25, "P"), (30, "P"))
    assert seconds(one, "passive_power") == [(0, 30, 15, 3)]
    assert seconds(one, "passive_radio") == [(10, 25, 15, 1)]


def test_rows_may_stand_in_any_order():
    assert summed((120, "P"), (0, "P"), (60, "P")) == summed((0, "P"), (60, "P"), (120, "P"))


def test_no_use_goes_on_over_a_cut():
    cut = datetime.fromtimestamp(BASE / 1000 + 30, UTC)
    assert seconds(summed((0, "P"), (20, "P"), (40, "P"), (50, "P"), cuts=[cut]), "passive_power") == [(0, 40, 40, 2), (40, 50, 10, 2)]


def test_ground_is_what_lies_within_reach_of_a_reading():
    (patch,) = summed((0, "P", 5, 5), (1, "P", 5.01, 5)).ground["passive_power"]
    assert patch.ground.area == pytest.approx(math.pi, abs=0.03)
    assert patch.ground.bounds == pytest.approx((4, 4, 6, 6), abs=0.02)


def test_ground_of_what_is_no_search_and_of_readings_without_a_place_is_none():
    one = summed((0, "-", 5, 5), (1, "P"))
    assert (one.ground, one.unplaced, one.placed) == ({}, 1, True)
    assert not summed((0, "P")).placed


def test_ground_is_told_apart_before_within_and_after_a_span():
    cuts = [datetime.fromtimestamp(BASE / 1000 + second, UTC) for second in (10, 20)]
    one = summed((0, "P", 0, 0), (15, "P", 10, 0), (30, "P", 20, 0), cuts=cuts)
    assert ground_within(one.ground["passive_power"], BASE + 10_000, BASE + 20_000).bounds == pytest.approx((9, -1, 11, 1), abs=0.02)
    assert ground_within(one.ground["passive_power"], BASE + 10_000, None).bounds == pytest.approx((9, -1, 21, 1), abs=0.02)


def test_days_are_the_site_s_own():
    midnight = datetime(2027, 3, 5, tzinfo=ZONE).timestamp() - BASE / 1000
    assert summed((midnight - 1, "P"), (midnight, "P"), (midnight + 1, "R")).days == {"2027-03-04": 1, "2027-03-05": 2}


def test_the_lowest_and_highest_reading_of_each_mode_are_kept():
    assert summed((0, "P", NONE, NONE, 7), (1, "P", NONE, NONE, -2), (2, "R")).values == {"passive_power": (-2, 7)}


def test_readings_that_lie_too_far_apart_are_no_locate(monkeypatch):
    monkeypatch.setattr(use, "MOST_USES", 2)
    with pytest.raises(Unfit, match="separate uses"):
        summed((0, "P"), (100, "P"), (200, "P"))


@pytest.mark.parametrize(
    ("begins", "ends", "told"),
    [
        (0, 100, [(10, 30, 10, 4), (50, 50, 0, 1)]),
        (20, None, [(20, 30, 5, 2), (50, 50, 0, 1)]),
        (0, 15, [(10, 15, 2.5, 1)]),
        (31, 49, []),
        (50, 60, [(50, 50, 0, 1)]),
        (30, 40, []),
    ],
)
def test_uses_are_cut_to_a_span(begins, ends, told):
    uses = (Use(10, 30, 10, 4), Use(50, 50, 0, 1))
    assert [(one.begins, one.ends, one.millis, one.rows) for one in within(uses, begins, ends)] == [(a, b, round(c), d) for a, b, c, d in told]


READINGS = st.lists(
    st.tuples(st.floats(0, 9999), st.sampled_from(list(WORDS)), st.floats(-50, 50), st.floats(-50, 50), st.floats(-9, 9)), min_size=1, max_size=25
)


@given(READINGS)
def test_an_account_reads_back_as_it_is_kept(readings):
    one = summed(*readings)
    assert written(read_back(written(one))) == written(one)


@given(READINGS)
def test_no_second_is_counted_twice_and_every_reading_once(readings):
    one = summed(*readings)
    uses = [each for some in one.uses.values() for each in some]
    assert sum(each.rows for each in uses) == len(readings) == sum(one.days.values())
    assert sum(each.millis for each in uses) <= (one.last - one.first) / timedelta(milliseconds=1)
    assert all(each.millis <= each.ends - each.begins for each in uses)
