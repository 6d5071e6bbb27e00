"""Shapes as spreadsheets bring them: which Well-Known Text is read, and which is not."""

import pytest

from locates.surveys.models import Sweep
from records.exchange.writing import export
from tests.register import changed, loaded, places, says

pytestmark = pytest.mark.django_db

RING = "(0 0, 4 0, 4 4, 0 4, 0 0)"
AREA, OUTLINE, LINE = ("sweeps", "W1", "area"), ("permits", "G2", "outline"), ("traces", "X3", "line")

RIGHT = {
    AREA: (
        f"polygon({RING})",
        "PoLyGoN((0 0,4 0,4 4,0 4,0 0))",
        "POLYGON\n((0 0,\r\n4 0, 4 4,0 4,0 0))",
        "POLYGON ((0 0, 0 4, 4 4, 4 0, 0 0))",
        "POLYGON ((0 0, 4 0, 4 0, 4 4, 0 4, 0 0))",
        "POLYGON ((-0 0, 004 0, 4 4, 0 4, 0.0 -0.0))",
        "POLYGON ((0 0, 4.000001 0, 4 4, 0 4, 0 0))",
        "POLYGON ((0 0, 100000 0, 100000 100000, 0 0))",
        f"POLYGON ({RING}, (1 1, 2 1, 2 2, 1 1))",
        f"POLYGON ({RING}, (0 0, 2 1, 1 2, 0 0))",
        f"MULTIPOLYGON (({RING}))",
        f"MULTIPOLYGON (({RING}), ((4 4, 8 4, 8 8, 4 4)))",
    ),
    OUTLINE: (
        "POLYGON ((0.1 0.1, 0.2 0.1, 0.2 0.2, 0.1 0.2, 0.1 0.1))",
        "POLYGON ((99999 99999, 99999.1 99999, 99999.1 99999.1, 99999 99999.1, 99999 99999))",
    ),
    LINE: ("linestring(0 0,1 1)", "LINESTRING (0 0, 4 4, 4 0, 0 4)", "LINESTRING (0 0, 4 4, 0 0)", "LINESTRING (0 0, 0 0, 0.000001 0)"),
}

WRONG = {
    AREA: (
        "POLYGON EMPTY",
        "POLYGON ()",
        "POLYGON (())",
        "MULTIPOLYGON (EMPTY)",
        f"MULTIPOLYGON (({RING}), EMPTY)",
        "POLYGON Z ((0 0 1, 4 0 1, 4 4 1, 0 0 1))",
        "POLYGON ((0 0 1, 4 0 1, 4 4 1, 0 0 1))",
        f"POLYGON Z ({RING})",
        f"SRID=4326;POLYGON ({RING})",
        f"POLYGON ({RING}) POLYGON ({RING})",
        f"POLYGON ({RING}",
        f"POLYGON ({RING}))",
        f"POLYGON {RING}",
        "POLYGON ((0 0, 4 0, 4 4, 0 4))",
        "POLYGON ((0 0, 4 0, 0 0))",
        "POLYGON ((0 0, 4 0, 2 0, 0 0))",
        "POLYGON ((0 0, 4 4, 4 0, 0 4, 0 0))",
        "POLYGON ((0 0, 4 0, 4 4, 4 8, 4 4, 0 4, 0 0))",
        f"POLYGON ({RING}, (1 1, 6 1, 6 2, 1 1))",
        f"POLYGON ({RING}, (5 5, 6 5, 6 6, 5 5))",
        f"MULTIPOLYGON (({RING}), ((1 1, 6 1, 6 6, 1 1)))",
        f"MULTIPOLYGON (({RING}), ((4 0, 8 0, 8 4, 4 4, 4 0)))",
        "POLYGON ((0 0, 4.0000000 0, 4 4, 0 4, 0 0))",
        "POLYGON ((0 0, 4e0 0, 4 4, 0 4, 0 0))",
        "POLYGON ((0 0, +4 0, 4 4, 0 4, 0 0))",
        "POLYGON ((0 0, 4. 0, 4 4, 0 4, 0 0))",
        "POLYGON ((0 0, nan 0, 4 4, 0 4, 0 0))",
        "POLYGON ((0 0, 100000.000001 0, 4 4, 0 4, 0 0))",
        "POLYGON ((0,0, 4,0, 4,4, 0,0))",
        "POLYGON ((0 0, 4 0,, 4 4, 0 4, 0 0))",
        f"GEOMETRYCOLLECTION (POLYGON ({RING}))",
        "POINT (1 1)",
        "POLYGON " + "(" * 90_000,
    ),
    OUTLINE: (
        f"MULTIPOLYGON (({RING}))",
        f"POLYGON ({RING}, (1 1, 2 1, 2 2, 1 1))",
        "POLYGON ((0 0, 0.1 0, 0.1 0.099999, 0 0.099999, 0 0))",
        "POLYGON ((99999 99999, 99999.1 99999, 99999.1 99999.099999, 99999 99999.099999, 99999 99999))",
    ),
    LINE: ("LINESTRING (0 0)", "LINESTRING (1 1, 1.000 1, 01 1)", "LINESTRING EMPTY", "MULTILINESTRING ((0 0, 1 1))", "LINESTRING (0 0; 1 1)"),
}


def each(shapes):
    return [pytest.param(*where, shape, id=f"{where[2]}-{n}") for where, some in shapes.items() for n, shape in enumerate(some)]


@pytest.mark.parametrize(("name", "id", "column", "shape"), each(RIGHT))
def test_a_shape_may_be_written_so(tmp_path, name, id, column, shape):
    assert says(loaded(tmp_path, changed(name, id, **{column: shape}))) == ""


@pytest.mark.parametrize(("name", "id", "column", "shape"), each(WRONG))
def test_a_shape_may_not_be_written_so(tmp_path, name, id, column, shape):
    found = places(loaded(tmp_path, changed(name, id, **{column: shape})))
    assert [(file, of) for file, _, of in found] == [(f"{name}.csv", column)]


def saw_teeth(most):
    """A polygon written as briefly as can be, of at most so many characters."""
    points, length = [], len("POLYGON((,9 9,0 9,0 0))")
    while length + len(point := f"{len(points)} {len(points) % 2}") + 1 <= most - 10:
        points.append(point)
        length += len(point) + 1
    return f"POLYGON(({','.join(points)},{len(points)} 9,0 9,0 0))"


def test_a_shape_near_the_limit_of_characters_comes_back_from_an_export(tmp_path):
    assert says(loaded(tmp_path / "first", changed("sweeps", "W1", area=saw_teeth(100_000)))) == ""
    export(tmp_path / "out")
    assert says(loaded(tmp_path / "out", {})) == ""
    assert Sweep.objects.get(pk="W1").area.startswith("POLYGON")
