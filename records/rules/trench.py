"""An outline as a person gives it on a form: by its corners, or as a trench by its centre line and its width."""

from decimal import Decimal

from shapely import from_wkt, set_precision
from shapely.geometry import LineString, Polygon

from records.rules.corners import points, polygon
from records.rules.text import Unfit
from records.rules.wkt import coordinate

MILLIMETRE = 0.001
MOST_POINTS = 100  # along a trench: with many more that run to and fro, growing them takes minutes


MOST_CORNERS = 1000  # typed into a form: each is grown, cut and drawn while somebody waits


def given(text: str, width_m: Decimal | None) -> str:
    """The outline that was typed or drawn: with a width, the points are those of a trench. Raises Unfit."""
    if width_m is not None:
        return outline(text, float(width_m))
    shape = polygon(text)
    if (corners := shape.count(",")) > MOST_CORNERS:
        raise Unfit(f"the outline has {corners} corners: at most {MOST_CORNERS} were expected")
    return shape


def outline(along: str, width_m: float) -> str:
    """The POLYGON of a trench `width_m` wide along the points (`x y` a line), with square ends, to the millimetre. Raises Unfit where it is none."""
    found = points(along)
    if not found or len(found) < 2:
        raise Unfit("a trench with a width needs two points or more along it, one a line")
    if len(found) > MOST_POINTS:
        raise Unfit(f"a trench with a width has {len(found)} points along it: at most {MOST_POINTS} were expected")
    for point in found:
        for number in point.split():
            coordinate(number)
    line = from_wkt(f"LINESTRING ({', '.join(found)})")
    if not isinstance(line, LineString) or line.length == 0:
        raise Unfit("the points are all in one place: a line along the trench was expected")
    shape = set_precision(line.buffer(width_m / 2, cap_style="flat", join_style="mitre"), MILLIMETRE)
    if not isinstance(shape, Polygon) or shape.interiors:
        raise Unfit("the trench runs into itself: an outline by its corners was expected")
    return written(shape)


def written(shape: Polygon) -> str:
    """The POLYGON of a shape without holes, its corners to the millimetre."""
    return f"POLYGON (({', '.join(f'{x + 0.0:.3f} {y + 0.0:.3f}' for x, y in shape.exterior.coords)}))"
