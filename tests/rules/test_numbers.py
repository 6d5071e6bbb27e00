"""The numbers in force: defaults and bounds as the rules state them, the latest row that has taken effect, and what is looser."""

from datetime import date
from decimal import Decimal

import pytest

from records.rules.numbers import NUMBERS, InForce, Row

# key: default, bounds, and which way gives less
PAGE = {
    "plan_valid_days": ("28", "1", "366", "larger"),
    "locate_valid_days": ("14", "1", "366", "larger"),
    "locate_max_hours": ("24", "1", "168", "larger"),
    "permit_max_hours": ("168", "1", "744", "larger"),
    "sweep_margin_m": ("1.0", "0", "10", "smaller"),
    "transmitter_min_offset_m": ("3.75", "0", "20", "smaller"),
    "induction_max_depth_m": ("2.0", "0.1", "5", "larger"),
    "check_valid_hours": ("12", "1", "48", "larger"),
    "depth_tolerance_m": ("0.05", "0", "1", "larger"),
    "depth_tolerance_ratio": ("0.05", "0", "1", "larger"),
    "hand_dig_m": ("0.5", "0.1", "5", "smaller"),
    "position_tolerance_A_m": ("0.05", "0", "10", "smaller"),
    "position_tolerance_B_m": ("0.3", "0", "10", "smaller"),
    "position_tolerance_C_m": ("1.0", "0", "10", "smaller"),
    "position_tolerance_D_m": ("2.0", "0", "10", "smaller"),
    "due_soon_days": ("30", "1", "366", "smaller"),
}
TODAY = date(2027, 3, 4)


def test_there_are_these_numbers_and_one_yes_or_no() -> None:
    assert set(NUMBERS) == {*PAGE, "two_directions"}
    assert [key for key, number in NUMBERS.items() if number.yes_or_no] == ["two_directions"]


@pytest.mark.parametrize("key", PAGE)
def test_a_number_has_its_default_and_bounds(key: str) -> None:
    default, low, high, looser = PAGE[key]
    number = NUMBERS[key]
    assert (number.default, number.low, number.high) == (default, Decimal(low), Decimal(high))
    assert (number.is_looser(high), number.is_looser(default), number.is_looser(low)) == (looser == "larger", False, looser == "smaller")


def test_days_and_hours_alone_are_whole_numbers() -> None:
    assert {key for key, number in NUMBERS.items() if number.whole} == {key for key in PAGE if key.endswith(("_days", "_hours"))}


def test_every_number_says_what_it_means_and_where_it_comes_from() -> None:
    assert [number.key for number in NUMBERS.values() if not number.meaning or not number.source] == []


def test_to_walk_one_direction_only_is_looser() -> None:
    assert (NUMBERS["two_directions"].is_looser("no"), NUMBERS["two_directions"].is_looser("yes")) == (True, False)


# rows of plan_valid_days, and what is in force on 4 March 2027
ROWS = [
    ([], 28),
    ([("2027-03-04", "7")], 7),
    ([("2027-03-05", "7")], 28),
    ([("2027-03-01", "7"), ("2027-03-04", "9")], 9),
    ([("2027-03-04", "9"), ("2027-03-01", "7")], 9),
    ([("2027-03-01", "7"), ("2027-03-05", "9"), ("2026-12-31", "8")], 7),
]


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(("rows", "wanted"), ROWS)
def test_the_latest_row_that_has_taken_effect_is_in_force(rows: list, wanted: int, turned: bool) -> None:
    made = [Row("plan_valid_days", date.fromisoformat(day), value) for day, value in (reversed(rows) if turned else rows)]
    assert InForce(made, TODAY).whole("plan_valid_days") == wanted


def test_a_row_for_one_number_leaves_the_others_alone() -> None:
    numbers = InForce([Row("hand_dig_m", date(2020, 1, 1), "0.300")], TODAY)
    assert (numbers.number("hand_dig_m"), numbers.number("sweep_margin_m")) == (Decimal("0.3"), Decimal(1))
    assert numbers.looser() == ["hand_dig_m"]
