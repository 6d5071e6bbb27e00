"""Rules of the registers that are worth a look by themselves: bounds of the numbers in force, and rings of replacements."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as some

from locates.surveys.rules import rings
from records.firm.rules import value_fault
from records.rules.numbers import NUMBERS

BOUNDED = [number for number in NUMBERS.values() if not number.yes_or_no]
STEP = {True: Decimal(1), False: Decimal("0.001")}


@pytest.mark.parametrize("number", BOUNDED, ids=lambda number: number.key)
def test_a_number_s_bounds_are_in_and_what_is_just_beyond_is_out(number):
    step = STEP[number.whole]
    inside, beyond = (number.low, number.high), (number.low - step, number.high + step)
    assert [value_fault(number, str(value)) for value in inside] == ["", ""]
    assert all("was expected" in value_fault(number, str(value)) for value in beyond)


@pytest.mark.parametrize("number", BOUNDED, ids=lambda number: number.key)
def test_a_number_is_not_yes_or_no(number):
    assert value_fault(number, "yes")


def test_days_and_hours_are_whole():
    whole = {number.key for number in BOUNDED if value_fault(number, f"{int(number.high)}.0")}
    assert whole == {number.key for number in BOUNDED if number.key.endswith(("_days", "_hours"))}


def test_yes_or_no_is_not_a_number():
    number = NUMBERS["two_directions"]
    assert [bool(value_fault(number, value)) for value in ("yes", "no", "1", "0")] == [False, False, True, True]


NAMES = some.sampled_from("abcde")
EDGES = some.dictionaries(NAMES, some.sets(NAMES))


@given(EDGES)
def test_a_ring_holds_who_leads_back_to_themselves_and_nobody_else(edges):
    reach = {name: set(near) for name, near in edges.items()}
    for _ in edges:
        reach = {name: near | {far for other in near for far in reach.get(other, ())} for name, near in reach.items()}
    assert rings(edges) == {name for name, near in reach.items() if name in near}


class Counted(dict):
    """Edges that count how often they are asked for."""

    asked = 0

    def get(self, *words):
        self.asked += 1
        return super().get(*words)


@pytest.mark.parametrize("closed", [True, False])
def test_a_long_chain_is_walked_once_and_no_deeper_than_it_is_allowed(closed):
    chain = Counted({str(n): {str(n + 1)} for n in range(5_000)})
    if closed:
        chain["5000"] = {"0"}
    assert rings(chain) == (set(chain) if closed else set())
    assert chain.asked <= 2 * 5_001
