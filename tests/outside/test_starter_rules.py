"""The starter rule sets against the publications they name; each expected figure with its source beside it."""

import csv
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal
from pathlib import Path

import pytest
from dateutil.relativedelta import relativedelta

from records.firm.rules import value_fault
from records.rules.numbers import EVERY_NUMBER
from tests.house.source import ROOT

FOLDER = ROOT / "records" / "firm" / "starter_rules"
INCH = Decimal("0.0254")
MARKS = ("seen", "from memory", "common practice")

PUBLISHED = {
    ("hsg47-half-metre", "hand_dig_m"): Decimal("0.5"),  # HSG47, from a trade handbook
    ("owners-within-3-m", "hand_dig_m"): Decimal("0.5"),  # HSG47, from a trade handbook
    ("tolerance-zone-18-inch", "hand_dig_m"): 18 * INCH,  # Common Ground Alliance glossary (figure from memory)
    ("tolerance-zone-24-inch", "hand_dig_m"): 24 * INCH,  # Florida's one-call centre
    ("as-5488", "position_tolerance_A_m"): Decimal("0.05"),  # AS 5488.1:2022 (from memory)
    ("as-5488", "position_tolerance_B_m"): Decimal("0.3"),  # AS 5488.1:2022, from a secondary page
    ("pas-128", "position_tolerance_A_m"): Decimal("0.05"),  # PAS 128, type A (from memory)
    ("pas-128", "induction_max_depth_m"): Decimal("2.0"),  # common practice, no published source
    ("plans-28-days", "plan_valid_days"): Decimal(28),  # common practice, no published source
    ("plans-30-days", "plan_valid_days"): Decimal(30),  # common practice, no published source
    ("ticket-kansas", "plan_valid_days"): Decimal(15),  # Kansas one-call centre: after the start
    ("ticket-nebraska", "plan_valid_days"): Decimal(17),  # Nebraska one-call centre: after the start
    ("ticket-florida", "plan_valid_days"): Decimal(30),  # Florida's one-call centre: life of marks
}
# PAS 128 survey type B, horizontal, in metres at a depth: B1, B2, B3 (from a secondary page; the greater of the two figures is from memory)
DETECTED = (lambda depth: max(Decimal("0.15"), depth * 15 / 100), lambda depth: max(Decimal("0.25"), depth * 40 / 100), lambda depth: Decimal("0.5"))


def rows() -> list[dict[str, str]]:
    with (FOLDER / "rules.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def value(rule_set: str, key: str) -> Decimal:
    return next(Decimal(row["value"]) for row in rows() if (row["rule_set"], row["key"]) == (rule_set, key))


@pytest.mark.parametrize(("rule_set", "key"), PUBLISHED)
def test_each_number_is_the_published_one_rounded_up_to_the_millimetre(rule_set: str, key: str) -> None:
    assert value(rule_set, key) == PUBLISHED[rule_set, key].quantize(Decimal("0.001"), ROUND_CEILING)


def test_level_b_of_the_british_standard_is_the_widest_to_the_depth_that_induction_is_trusted() -> None:
    assert value("pas-128", "position_tolerance_B_m") == max(kind(value("pas-128", "induction_max_depth_m")) for kind in DETECTED)


def test_records_of_the_british_standard_are_less_than_ninety_days_old() -> None:
    """PAS 128, survey type D, from a survey firm's page."""
    assert value("pas-128", "plan_valid_days") < 90 <= value("pas-128", "plan_valid_days") + 1


def test_a_ticket_that_counts_the_day_of_the_call_ends_as_the_centre_says() -> None:
    """Illinois one-call centre: 28 calendar days with the day of the call as the first, so a call on the 1st is good to the end of the 28th."""
    assert date(2026, 3, 1) + timedelta(days=int(value("ticket-illinois", "plan_valid_days"))) == date(2026, 3, 28)


def test_three_months_are_taken_at_their_shortest() -> None:
    """A utility search report of 2017 is good for at most three months."""
    starts = [date(2027, 1, 1) + timedelta(days=day) for day in range(4 * 366)]
    assert min((start + relativedelta(months=3) - start).days for start in starts) == value("plans-three-months", "plan_valid_days")


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['rule_set']}-{row['key']}")
def test_each_row_says_whether_its_source_was_seen(row: dict[str, str]) -> None:
    assert any(mark in row["source"].lower() for mark in MARKS)
    assert Path(FOLDER, "README.md").read_text().count(f"`{row['rule_set']}`") == 1


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['rule_set']}-{row['key']}")
def test_each_value_is_one_that_its_key_takes(row: dict[str, str]) -> None:
    assert value_fault(EVERY_NUMBER[row["key"]], row["value"]) == ""
