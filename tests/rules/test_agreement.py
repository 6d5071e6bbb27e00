"""What trial holes say of readings, in words, and of which readings they say nothing."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from locates.trials.rules.agreement import Agreement, Pair, agreement, left_out, says

BEGAN = datetime(2027, 3, 4, 7, tzinfo=UTC)


def pairs(*differences):
    return [Pair(Decimal(1) + Decimal(one), Decimal(1)) for one in differences]


@dataclass(frozen=True)
class Locate:
    started_at: datetime = BEGAN


HERE = Locate()


@dataclass(frozen=True)
class Trace:
    technique: str = "clamp"
    depth_m: Decimal | None = Decimal(1)
    utility: str = "water"
    locate: Locate = HERE


@dataclass
class Hole:
    utility: str = "water"
    exposed_at: datetime = BEGAN + timedelta(days=1)


@pytest.mark.parametrize(
    ("differences", "words"),
    [
        ((), "too few to tell: no trial hole, and 3 are wanted"),
        (("0.1",), "too few to tell: 1 trial hole, and 3 are wanted"),
        (("0.1", "0.1"), "too few to tell: 2 trial holes, and 3 are wanted"),
        (
            ("0.1", "0", "0.2"),
            "on the whole 0.1 m too deep; of 100 such readings some 95 are to be expected from 0.096 m too shallow to 0.296 m too deep; "
            "2 of 3 are within a tenth of the true depth",
        ),
        (
            ("-0.1", "0.1", "0"),
            "on the whole neither too deep nor too shallow; of 100 such readings some 95 are to be expected from 0.196 m too shallow to 0.196 m too deep; "
            "3 of 3 are within a tenth of the true depth",
        ),
        (
            ("0.05", "0.05", "0.05"),
            "on the whole 0.05 m too deep; of 100 such readings some 95 are to be expected from 0.05 m too deep to 0.05 m too deep; "
            "3 of 3 are within a tenth of the true depth",
        ),
    ],
)
def test_it_is_told_in_these_words(differences, words):
    assert says(agreement(pairs(*differences)), 3) == words


def test_of_one_pair_nothing_is_told_whatever_the_least():
    one = agreement(pairs("0.1"))
    assert (one.n, one.bias_m, one.sd_m, one.low_m) == (1, Decimal("0.1"), None, None)
    assert says(one, 1) == "too few to tell: 1 trial hole, and 2 are wanted"
    assert agreement([]) == Agreement(0)


@pytest.mark.parametrize(
    ("hole", "trace", "read", "why"),
    [
        (Hole(), Trace(), Decimal(1), ""),
        (Hole(), None, None, "no trace shows"),
        (Hole(), Trace(technique="exposed"), Decimal(1), "was seen, not read"),
        (Hole(), Trace(depth_m=None), None, "has no depth"),
        (Hole(), Trace(), None, "not to be relied on"),
        (Hole(utility="gas"), Trace(), Decimal(1), "another service"),
        (Hole(utility="unknown"), Trace(), Decimal(1), ""),
        (Hole(), Trace(utility="unknown"), Decimal(1), ""),
        (Hole(exposed_at=BEGAN - timedelta(seconds=1)), Trace(), Decimal(1), "before the locate began"),
        (Hole(exposed_at=BEGAN), Trace(), Decimal(1), ""),
    ],
)
def test_a_hole_counts_only_where_it_checks_a_reading(hole, trace, read, why):
    said = left_out(hole, trace, read)
    assert why in said
    assert bool(why) == bool(said)
