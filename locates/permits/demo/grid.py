"""From a street's own metres (along it, and to its left) to the site's grid (east, north), as the text of shapes."""

from collections.abc import Iterable
from math import cos, radians, sin

from shapely.geometry import LineString, MultiLineString, Polygon, box
from shapely.ops import linemerge

from locates.permits.demo.parts import Box, Point, Street

EDGE = 4.0  # how far an owner is asked about beyond a street's ends
HALF_WIDTH = 12.0


def plain(number: float) -> str:
    """A number to the millimetre, without needless noughts."""
    text = f"{number:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def place(street: Street, point: Point) -> str:
    """The point's east and north in the site's grid."""
    turn = radians(street.bearing)
    along, left = point
    east = street.start[0] + along * sin(turn) - left * cos(turn)
    north = street.start[1] + along * cos(turn) + left * sin(turn)
    return f"{plain(east)} {plain(north)}"


def polygon(street: Street, corners: Iterable[Point]) -> str:
    placed = [place(street, corner) for corner in corners]
    return f"POLYGON (({', '.join([*placed, placed[0]])}))"


def patch(street: Street, ground: Box) -> str:
    """A box (from along, from left, to along, to left) as a polygon."""
    return polygon(street, corners(ground))


def corners(ground: Box) -> tuple[Point, ...]:
    along, left, to_along, to_left = ground
    return ((along, left), (to_along, left), (to_along, to_left), (along, to_left))


def whole(street: Street) -> Box:
    """All the ground of a street that owners are asked about."""
    return (-EDGE, -HALF_WIDTH, street.length + EDGE, HALF_WIDTH)


def stretch(path: tuple[Point, ...], ground: Box) -> tuple[Point, ...]:
    """The part of a path that lies in the box; empty where none does."""
    cut = LineString(path).intersection(box(*ground))
    if isinstance(cut, MultiLineString):
        cut = linemerge(cut)
    return tuple(cut.coords) if isinstance(cut, LineString) and cut.length > 0 else ()


def line(street: Street, path: Iterable[Point]) -> str:
    return f"LINESTRING ({', '.join(place(street, point) for point in path)})"


def bearing(street: Street, across: bool) -> str:
    """The direction walked: along the street or across it."""
    return plain((street.bearing + (90 if across else 0)) % 360)


def distance(path: tuple[Point, ...], outline: Iterable[Point]) -> float:
    """Metres between a service and a dig, edge to edge."""
    return LineString(path).distance(Polygon(outline))
