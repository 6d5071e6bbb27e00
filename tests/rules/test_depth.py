"""Depths: what there is against one, and the only words in which it is told."""

from dataclasses import dataclass
from decimal import Decimal

import pytest

from locates.rules.depth import NO_NUMBER, Limits, cover, doubts, number, raised_says, says

BY = Limits(Decimal("0.05"), Decimal("0.05"), Decimal("2.0"))


@dataclass(frozen=True)
class Read:
    technique: str
    depth_m: Decimal | None = None
    raised_by_m: Decimal | None = None
    raised_depth_m: Decimal | None = None
    width_m: Decimal | None = None


def read(technique, *metres):
    return Read(technique, *(None if one is None else Decimal(one) for one in metres))


WORDS = [
    (read("clamp"), "depth not known"),
    (read("passive_power"), "depth not known"),
    (read("passive_power", "0.77", "0.3", "1.07"), "depth not known: a passive technique gives none"),
    (read("passive_radio", "0.77", None, None, "0.1"), "depth not known: a passive technique gives none"),
    (read("clamp", "1.234", "0.3", "1.9"), "depth not to be relied on"),
    (read("induction", "2.4", "0.3", "2.7"), "depth not to be relied on: read by induction, deeper than it is trusted"),
    (read("induction", "2.4", "0.3", "3.9"), "depth not to be relied on"),
    (read("clamp", "2.4", "0.3", "2.7"), "2.4 m to its centre, indicated; agrees when raised, which is no proof"),
    (read("clamp", "0.800", None, None), "0.8 m to its centre, indicated, NOT checked by a raised reading"),
    (read("sonde", "0.8", "0.3", "1.1", "0.11"), "0.8 m to its centre, 0.745 m of cover, indicated; agrees when raised, which is no proof"),
    (read("clamp", "0.8", None, None, "1.6"), "0.8 m to its centre, indicated, NOT checked by a raised reading"),
    (read("exposed", "0.8", None, None, "0.1"), "0.8 m to its centre, 0.75 m of cover, seen when exposed"),
    (read("exposed", "3.0", "0.3", "9.0"), "3 m to its centre, seen when exposed"),
]


@pytest.mark.parametrize(("reading", "words"), WORDS)
def test_a_depth_is_told_in_these_words(reading, words):
    assert says(reading, BY) == words


@pytest.mark.parametrize(("reading", "words"), WORDS)
def test_a_number_is_told_only_where_nothing_forbids_it(reading, words):
    forbidden = bool(NO_NUMBER & set(doubts(reading, BY)))
    assert (number(reading, BY) is not None) == (reading.depth_m is not None and not forbidden)
    assert any(sign.isdigit() for sign in words) == (number(reading, BY) is not None)


@pytest.mark.parametrize(("reading", "words"), WORDS)
def test_what_was_read_when_raised_gives_no_forbidden_depth_away(reading, words):
    said = raised_says(reading, BY, reading.raised_depth_m)
    assert any(sign.isdigit() for sign in said) == (reading.raised_depth_m is not None and number(reading, BY) is not None)


@pytest.mark.parametrize(("raised", "against"), [("1.35", ()), ("1.351", ("disagrees",)), ("1.25", ()), ("1.249", ("disagrees",))])
def test_exactly_the_tolerance_is_within(raised, against):
    assert doubts(read("clamp", "1.0", "0.3", raised), BY) == against


@pytest.mark.parametrize(("deep", "against"), [("2.0", ()), ("2.001", ("too_deep",))])
def test_induction_is_trusted_to_its_limit_and_no_deeper(deep, against):
    assert tuple(one for one in doubts(read("induction", deep), BY) if one != "not_checked") == against


@pytest.mark.parametrize(("width", "above"), [("0.3", "0.85"), ("1.998", "0.001"), ("2", None), ("2.1", None)])
def test_there_is_no_cover_over_what_is_wider_than_its_depth_allows(width, above):
    assert cover(Decimal(1), Decimal(width)) == (None if above is None else Decimal(above))
