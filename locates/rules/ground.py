"""Coverage, zones and distances on the ground, in metres and square metres of the site's grid.

All growing is round, with 32 segments to a quarter circle. What is compared with a limit is rounded to 6 decimals first.
"""

from collections.abc import Iterable, Sequence
from decimal import ROUND_HALF_EVEN, Decimal
from itertools import combinations

from shapely import box, intersection_all, set_precision, union_all
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

QUARTER_SEGMENTS = 32
LEFT_OUT_M2, LEFT_OUT_SHARE = Decimal("0.05"), 10  # how much uncovered ground still counts as covered: the smaller of the two
TOUCH_M2, TOUCH_SHARE = Decimal("0.01"), 10  # the overlap from which on a zone matters: either of the two
LINE_M = Decimal("0.5")  # the length from which on a line lies in the ground, and which may stay uncovered
CROSSING_DEG = 60
MILLIMETRE = 0.001
NOWHERE = Polygon()
_SIX = Decimal("0.000001")


def six(number: float) -> Decimal:
    """A reckoned number as it is compared: rounded to 6 decimals, half to even, of the decimal as written."""
    return Decimal(repr(float(number))).quantize(_SIX, ROUND_HALF_EVEN)


def grown(shape: BaseGeometry, by_m: Decimal) -> BaseGeometry:
    """The shape with all that lies within `by_m` of it."""
    return shape.buffer(float(by_m), quad_segs=QUARTER_SEGMENTS) if by_m else shape


def united(shapes: Iterable[BaseGeometry]) -> BaseGeometry:
    return union_all(list(shapes))


def shared(shapes: Iterable[BaseGeometry]) -> BaseGeometry:
    """The ground that lies in each of them."""
    return intersection_all(list(shapes))


def room_within(area: BaseGeometry, margin_m: Decimal, smallest_m2: Decimal) -> Polygon | None:
    """A large outline, to the millimetre, that the area covers together with its margin; None where there is none.

    Drawn in with straight corners, which takes a little more than the margin asks and needs no arcs. Of ground around holes, what lies to one side of them.
    """
    drawn_in = set_precision(area.buffer(-float(margin_m), join_style="mitre"), MILLIMETRE)
    pieces = [part for piece in _polygons(drawn_in) for part in _beside_holes(piece)]
    fit = (one for one in sorted(pieces, key=lambda one: one.area, reverse=True) if not one.interiors and six(one.area) >= smallest_m2)
    return next((one for one in fit if covers(area, grown(one, margin_m))), None)


def _beside_holes(piece: Polygon) -> list[Polygon]:
    """The piece, or where it has holes, what of it lies to the left, to the right, below and above them all."""
    if not piece.interiors:
        return [piece]
    left, bottom, right, top = piece.bounds
    first, low, last, high = united(Polygon(ring) for ring in piece.interiors).bounds
    sides = (left, bottom, first, top), (last, bottom, right, top), (left, bottom, right, low), (left, high, right, top)
    return [part for side in sides for part in _polygons(set_precision(piece.intersection(box(*side)), MILLIMETRE))]


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    if hasattr(shape, "geoms"):
        return [one for part in shape.geoms for one in _polygons(part)]
    return [shape] if isinstance(shape, Polygon) and not shape.is_empty else []


def covers(area: BaseGeometry, ground: BaseGeometry) -> bool:
    """Does the area cover the ground, but for 0.05 m² or a tenth of it, the smaller?"""
    return six(ground.difference(area).area) <= min(LEFT_OUT_M2, six(ground.area / LEFT_OUT_SHARE))


def meet(one: BaseGeometry, other: BaseGeometry) -> bool:
    """Have the two a point in common, borders included?"""
    return bool(one.intersects(other))


def bearings_cross(one: Decimal, other: Decimal) -> bool:
    """Are two walking directions (degrees) 60° or more apart, to and fro being one direction?"""
    apart = abs(one - other) % 180
    return min(apart, 180 - apart) >= CROSSING_DEG


def crossed(sweeps: Sequence[tuple[Decimal | None, BaseGeometry]]) -> BaseGeometry:
    """The ground that lies in two sweeps, each (bearing, area), whose bearings cross. A sweep without a bearing has no direction."""
    walked = [(bearing, area) for bearing, area in sweeps if bearing is not None]
    return united(a.intersection(b) for (one, a), (other, b) in combinations(walked, 2) if bearings_cross(one, other))


def length_within(line: LineString, ground: BaseGeometry) -> Decimal:
    """How much of the line lies in the ground, in metres."""
    return six(line.intersection(ground).length)


def lies_in(line: LineString, ground: BaseGeometry) -> bool:
    return length_within(line, ground) >= LINE_M


def line_covered(line: LineString, ground: BaseGeometry, area: BaseGeometry) -> bool:
    """Does the area cover the line within the ground, but for 0.5 m or a tenth of that length, the smaller?"""
    inside = line.intersection(ground)
    return six(inside.difference(area).length) <= min(LINE_M, six(inside.length / LEFT_OUT_SHARE))


def zone_radius(width_m: Decimal | None, hand_dig_m: Decimal, tolerance_m: Decimal) -> Decimal:
    """How far from its traced centre line a service is dug by hand: half its width, the distance from its edge, and the position's tolerance."""
    return (width_m or Decimal(0)) / 2 + hand_dig_m + tolerance_m


def overlap(outline: Polygon, zone: BaseGeometry) -> BaseGeometry | None:
    """The part of the outline within the zone, where it is over 0.01 m² or over a tenth of the outline; else None."""
    shared = outline.intersection(zone)
    area = six(shared.area)
    return shared if area > TOUCH_M2 or area > six(outline.area / TOUCH_SHARE) else None


def edge_distance(outline: Polygon, line: LineString, width_m: Decimal | None) -> float:
    """Metres from the outline to the edge of the service, not below 0."""
    return max(0.0, outline.distance(line) - float((width_m or Decimal(0)) / 2))
