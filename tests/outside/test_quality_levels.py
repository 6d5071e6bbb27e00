"""Quality levels by the published schemes: the same letters, other promises.

Sources, none of them the document itself: PAS 128 type B from two survey firms' pages (that the greater of the two figures counts, and B2 in depth, from
memory), type A from memory; AS 5488.1 level B across from a trade page, the rest from memory; the French order of 15 February 2012, article 1, from a
training firm's page; ASCE 38 and its levels from a federal agency's page. The figures at depths are worked out from those.
"""

from decimal import Decimal

import pytest

from locates.rules.quality import SCHEMES, Tolerance, arrete_2012, as_5488, pas_128, promise
from records.rules.words import QUALITY_LEVELS, QUALITY_SCHEMES


def mm(metres):
    return None if metres is None else int(metres * 1000)


def at(depth_mm):
    return Decimal(depth_mm) / 1000


@pytest.mark.parametrize(("depth", "across"), [(300, 150), (1000, 150), (1200, 180), (2000, 300)])
def test_b1_of_pas_128_is_150_mm_or_15_per_cent_of_the_depth_the_greater(depth, across):
    found = pas_128("B1", at(depth))
    assert (mm(found.across_m), mm(found.depth_m)) == (across, across)


@pytest.mark.parametrize(("depth", "across"), [(600, 250), (625, 250), (700, 280), (1000, 400)])
def test_b2_of_pas_128_is_250_mm_or_40_per_cent_of_the_depth_the_greater(depth, across):
    assert mm(pas_128("B2", at(depth)).across_m) == across


def test_b2_of_pas_128_is_40_per_cent_in_depth():
    assert mm(pas_128("B2", at(1000)).depth_m) == 400


def test_the_other_kinds_of_pas_128():
    assert pas_128("A", at(1000)) == Tolerance(Decimal("0.05"), Decimal("0.025"))
    assert pas_128("B3", at(1000)) == Tolerance(Decimal("0.5"), None)
    assert [pas_128(kind, at(1000)) for kind in ("B4", "C", "D")] == [Tolerance()] * 3


@pytest.mark.parametrize(
    ("centimetres", "rigid", "letter"),
    [("40", True, "A"), ("40.1", True, "B"), ("45", False, "A"), ("50", False, "A"), ("50.1", False, "B"), ("150", True, "B"), ("150.1", True, "C")],
)
def test_the_french_class_of_an_uncertainty(centimetres, rigid, letter):
    assert arrete_2012(Decimal(centimetres) / 100, rigid=rigid) == letter


@pytest.mark.parametrize("rigid", [True, False])
def test_what_is_not_known_is_of_the_french_class_c(rigid):
    assert arrete_2012(None, rigid=rigid) == "C"


@pytest.mark.parametrize(("level", "across", "deep"), [("A", 50, 50), ("B", 300, 500), ("C", 300, None), ("D", None, None)])
def test_the_australian_tolerances(level, across, deep):
    found = as_5488(level)
    assert (mm(found.across_m), mm(found.depth_m)) == (across, deep)


def test_a_letter_promises_something_else_in_every_scheme():
    assert set(SCHEMES) == set(QUALITY_SCHEMES)
    for letter in QUALITY_LEVELS:
        promised = [one.promises[letter] for one in SCHEMES.values()]
        assert len(promised) == len(SCHEMES)
    assert len({one.promises["B"] for one in SCHEMES.values()}) == len(SCHEMES)
    assert [one.level("B") for one in SCHEMES.values()] == [f"B by {one.short}" for one in SCHEMES.values()]


@pytest.mark.parametrize(("level", "found"), [(level, as_5488(level)) for level in QUALITY_LEVELS])
def test_the_words_say_the_australian_numbers(level, found):
    said = SCHEMES["as_5488"].promises[level]
    assert all(f"±{metres.normalize():f} m" in said for metres in (found.across_m, found.depth_m) if metres)


@pytest.mark.parametrize(
    ("depth", "words"),
    [
        ("1", "; across at 1 m: B1 ±0.15 m, B2 ±0.4 m, B3 ±0.5 m, by PAS 128:2022, United Kingdom. The hand-dig zone here is widened for it by 0.8 m"),
        (None, "not detected, by PAS 128:2022"),
    ],
)
def test_what_level_b_of_pas_128_comes_to_depends_on_the_depth(depth, words):
    assert words in promise(SCHEMES["pas_128"], "B", None if depth is None else Decimal(depth), Decimal("0.8"))
