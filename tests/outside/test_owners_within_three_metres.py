"""The starter rows on owners against the guidance that they name.

Source: Utility Strike Avoidance Group, guidance on digging near services (seen). Within 3 m of relevant assets contact the owner for its requirements and
attendance. No mechanical excavator within 3 m of cables above 11 kV until the owner has been consulted and the agreement is recorded on a permit to work.
"""

import csv
from dataclasses import replace
from datetime import date
from decimal import Decimal
from io import StringIO

import pytest

from locates.owners.rules.terms import Need, Terms
from locates.permits.rules.evidence import Evidence
from records.rules.words import METHODS
from tests.house.source import ROOT
from tests.rules.cast import line
from tests.rules.changes import Change, and_agreement, and_rating, and_trace, with_permit, without
from tests.rules.table import judged

FOLDER = ROOT / "records" / "firm" / "starter_rules"
POWER = "Birch Power"


def rows() -> list[dict[str, str]]:
    with (FOLDER / "owner_needs.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(StringIO(file.read())))


def need(row: dict[str, str]) -> Need:
    kilovolts = Decimal(row["above_kv"]) if row["above_kv"] else None
    methods = tuple(filter(None, row["methods"].split(";")))
    day, within = date.fromisoformat(row["effective_from"]), Decimal(row["within_m"])
    return Need(row["need"], day, row["needed"], within, row["utility"], row["service_owner"], methods, kilovolts, None, row["blocks"] == "yes", row["source"])


def starter(all_: Evidence) -> Evidence:
    return replace(all_, owners=Terms(tuple(need(row) for row in rows())))


def cable(metres: float) -> Change:
    """The only trace: the cable SV-2, along the outline and so far from it."""
    return and_trace("T-9", "clamp", line((-20, 4 + metres), (20, 4 + metres)), services=("SV-2",))


def asked(metres: float, kilovolts: str, method: str, *further: Change) -> set[str]:
    verdict = judged(without("traces"), cable(metres), with_permit(method=method), starter, and_rating("SV-2", "2027-03-01", voltage_kv=kilovolts), *further)
    every = (*verdict.blocks, *verdict.cautions)
    return {one.code for one in every if one.code.startswith("owner.") and one.subject == "trace:T-9"}


CASES = [
    (3, "33", "machine", {"owner.not_consulted"}),
    (3, "11.001", "machine", {"owner.not_consulted"}),
    (3, "11", "machine", {"owner.consult"}),
    (3.001, "33", "machine", set()),
    *((3, "33", method, {"owner.consult"}) for method in METHODS if method != "machine"),
]


@pytest.mark.parametrize(("metres", "kilovolts", "method", "codes"), CASES)
def test_the_owner_is_asked_within_three_metres_and_consulted_above_eleven_kilovolts(metres: float, kilovolts: str, method: str, codes: set[str]) -> None:
    assert asked(metres, kilovolts, method) == codes


def test_an_agreement_on_record_is_what_the_guidance_asks_for() -> None:
    assert asked(1, "33", "machine", and_agreement("AG-1", POWER, "consult")) == set()
    assert asked(1, "33", "machine", and_agreement("AG-1", POWER, "attend")) == {"owner.not_consulted"}


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["need"])
def test_each_row_says_that_its_source_was_seen_and_is_of_a_rule_set_with_numbers(row: dict[str, str]) -> None:
    assert "seen" in row["source"]
    assert f"\n{row['rule_set']}," in (FOLDER / "rules.csv").read_text()
