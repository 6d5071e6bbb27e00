"""Shapes: what is read as Well-Known Text, and what is refused."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as some
from shapely import from_wkt

from records.rules import wkt
from records.rules.text import Unfit

EVERY = (wkt.LINESTRING, wkt.POLYGON, wkt.MULTIPOLYGON)
SQUARE = "(0 0, 4 0, 4 4, 0 4, 0 0)"

READS = [
    (f"POLYGON({SQUARE})", f"POLYGON ({SQUARE})"),
    (f"\n polygon  (\n{SQUARE}\t) ", f"POLYGON ({SQUARE})"),
    ("LINESTRING(-0 -0.000000,00100000 -1.500000)", "LINESTRING (0 0, 100000 -1.5)"),
    ("LineString (0 0, 0.000001 0)", "LINESTRING (0 0, 0.000001 0)"),
    ("LINESTRING (0 0, 4 4, 4 0, 0 4)", "LINESTRING (0 0, 4 4, 4 0, 0 4)"),
    (f"POLYGON ({SQUARE},(1 1,2 1,2 2,1 1))", f"POLYGON ({SQUARE}, (1 1, 2 1, 2 2, 1 1))"),
    (f"MULTIPOLYGON (({SQUARE}),((5 5,6 5,6 6,5 5)))", f"MULTIPOLYGON (({SQUARE}), ((5 5, 6 5, 6 6, 5 5)))"),
    (f"MULTIPOLYGON (({SQUARE}),((4 4,6 5,6 6,4 4)))", f"MULTIPOLYGON (({SQUARE}), ((4 4, 6 5, 6 6, 4 4)))"),
]

REFUSES = [
    ("", "was expected"),
    ("POINT (1 1)", "is not LINESTRING or POLYGON or MULTIPOLYGON"),
    (f"SRID=2193;POLYGON ({SQUARE})", "is not"),
    ("POLYGON EMPTY", "is empty"),
    ("linestring empty", "is empty"),
    ("POLYGON", "breaks off"),
    ("POLYGON (", "breaks off"),
    (f"POLYGON ({SQUARE}", "breaks off"),
    (f"POLYGON ({SQUARE}))", "follows the POLYGON"),
    (f"POLYGON ({SQUARE}) POLYGON ({SQUARE})", "follows the POLYGON"),
    ("POLYGON Z ((0 0 1, 4 0 1, 4 4 1, 0 0 1))", "'Z' stands where"),
    ("POLYGON ((0 0 1, 4 0 1, 4 4 1, 0 0 1))", "more than two numbers"),
    ("POLYGON M ((0 0 1, 4 0 1, 4 4 1, 0 0 1))", "'M' stands where"),
    ("POLYGON (())", "is not a plain decimal number"),
    ("POLYGON ((0 0, 4 0, 4 4, 0 0), EMPTY)", "'EMPTY' stands where"),
    ("POLYGON ((0 0, 4 0, 4 4, 0 4))", "not closed"),
    ("POLYGON ((0 0, 4 0, 0 0))", "not closed"),
    ("POLYGON ((0 0, 4 4, 4 0, 0 4, 0 0))", "not valid (Self-intersection"),
    ("POLYGON ((0 0, 4 0, 4 0, 0 0))", "not valid"),
    (f"MULTIPOLYGON (({SQUARE}), ((1 1, 2 1, 2 2, 1 1)))", "not valid"),
    ("LINESTRING (1 1)", "no length"),
    ("LINESTRING (1 1, 1.0 1.000)", "no length"),
    ("LINESTRING (0 0, 1e3 0)", "is not a plain decimal number"),
    ("LINESTRING (0 0, nan 0)", "is not a plain decimal number"),
    ("LINESTRING (0 0, inf 0)", "is not a plain decimal number"),
    ("LINESTRING (0 0, +1 0)", "is not a plain decimal number"),
    ("LINESTRING (0 0, .5 0)", "is not a plain decimal number"),
    ("LINESTRING (0 0, 1 )", "is not a plain decimal number"),
    ("LINESTRING (0 0,, 1 1)", "is not a plain decimal number"),
    ("LINESTRING (0 0, 1 0.0000001)", "7 decimals"),
    ("LINESTRING (0 0, 0 -100000.000001)", "out of the site's grid"),
    ("LINESTRING (0 0, 1 1)\u212a", "follows"),
]


@pytest.mark.parametrize(("text", "written"), READS)
def test_it_reads_and_writes_one_way(text, written):
    assert wkt.read(text, EVERY).text == written
    assert wkt.read(written, EVERY).text == written


@pytest.mark.parametrize(("text", "why"), REFUSES)
def test_it_refuses_and_says_what_was_expected(text, why):
    with pytest.raises(Unfit) as refused:
        wkt.read(text, EVERY)
    assert why in str(refused.value)
    assert "expected" in str(refused.value)


@pytest.mark.parametrize(("side", "fits"), [("0.1", True), ("0.099999", False)])
def test_an_outline_has_a_hundredth_of_a_square_metre(side, fits):
    text = f"POLYGON ((0 0, 0.1 0, 0.1 {side}, 0 {side}, 0 0))"
    if fits:
        assert wkt.read_outline(text).text == text
        return
    with pytest.raises(Unfit, match=r"below 0.01 m²"):
        wkt.read_outline(text)


def test_an_outline_has_no_hole():
    with pytest.raises(Unfit, match="a hole"):
        wkt.read_outline(f"POLYGON ({SQUARE}, (1 1, 2 1, 2 2, 1 1))")


def test_a_shape_nested_without_end_is_refused_and_not_followed():
    with pytest.raises(Unfit):
        wkt.read("POLYGON " + "(" * 50_000, EVERY)


COORDINATE = some.integers(-100_000 * 10**6, 100_000 * 10**6).map(lambda millionths: Decimal(millionths).scaleb(-6))


@given(some.lists(some.tuples(COORDINATE, COORDINATE), min_size=2, max_size=6, unique=True))
def test_coordinates_are_kept_exactly(points):
    text = "LINESTRING (" + ", ".join(f"{x:f} {y:f}" for x, y in points) + ")"
    read = wkt.read(text, (wkt.LINESTRING,))
    assert [(Decimal(x), Decimal(y)) for x, y in read.rings[0]] == points
    assert list(from_wkt(read.text).coords) == [(float(x), float(y)) for x, y in points]
