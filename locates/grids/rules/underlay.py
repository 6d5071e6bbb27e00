"""How a picture (a plan, a photo from above) lies in a site's grid, from points that are known in both; and what speaks against believing it.

Points of the picture are counted from its top left corner, columns to the right and rows down, as it is seen upright.
"""

from cmath import phase
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import ceil, degrees, hypot, isfinite

from records.rules.text import Unfit
from records.rules.wkt import FARTHEST_M

# Common practice, no published source.
NEAREST_PX = 10.0  # two points closer than this in the picture tell no direction
NEAREST_M = 0.5
FINEST_M, COARSEST_M = 0.0005, 2.0  # of a pixel: a close photo, an aerial picture of which no kerb can be told
SHORT_BASE = 0.25  # of the picture's diagonal
OFF_PX, OFF_M = 4.0, 0.25  # how far a third point may lie from where the others put it

Point = tuple[float, float]
Extent = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Known:
    """A point known in both: its column and row in the picture, and its x and y in the site's grid."""

    col: float
    row: float
    x: float
    y: float

    @property
    def seen(self) -> complex:
        """Its place in the picture with the row counted upwards, as y is."""
        return complex(self.col, -self.row)

    @property
    def stands(self) -> complex:
        return complex(self.x, self.y)


@dataclass(frozen=True, slots=True)
class Lay:
    """A similarity: a picture scaled, turned and moved, neither stretched nor mirrored. `off_m`: how far each known point lies from where it puts it."""

    factor: complex
    shift: complex
    off_m: tuple[float, ...] = ()

    @property
    def metres_a_pixel(self) -> float:
        return abs(self.factor)

    @property
    def top_points_deg(self) -> float:
        """Where the picture's top points on the ground: degrees clockwise from the grid's north, 0 to below 360."""
        return -degrees(phase(self.factor)) % 360

    def to_site(self, col: float, row: float) -> Point:
        placed = self.factor * complex(col, -row) + self.shift
        return (placed.real, placed.imag)

    def to_picture(self, x: float, y: float) -> Point:
        seen = (complex(x, y) - self.shift) / self.factor
        return (seen.real, -seen.imag)

    def extent(self, width: int, height: int) -> Extent:
        """The upright box in the grid that holds a picture of so many pixels: least x, least y, most x, most y."""
        corners = [self.to_site(*one) for one in ((0, 0), (width, 0), (width, height), (0, height))]
        xs, ys = [x for x, _ in corners], [y for _, y in corners]
        return (min(xs), min(ys), max(xs), max(ys))


def laid(points: Sequence[Known]) -> Lay:
    """The similarity that two points give, or that fits more of them best (least squares). Raises Unfit for points that give none."""
    if len(points) < 2:
        raise Unfit("two points that are known in the picture and on the ground were expected, or more")
    if not all(isfinite(one) and abs(one) <= FARTHEST_M for point in points for one in (point.col, point.row, point.x, point.y)):
        raise Unfit(f"a point is out of bounds: numbers within -{FARTHEST_M} to {FARTHEST_M} were expected")
    one, other = _farthest(points)
    if abs(one.seen - other.seen) < NEAREST_PX or abs(one.stands - other.stands) < NEAREST_M:
        raise Unfit(f"the points are less than {NEAREST_PX:g} pixels or {NEAREST_M:g} m apart: points far from each other were expected")
    seen, stands = _middle([one.seen for one in points]), _middle([one.stands for one in points])
    factor = sum((one.seen - seen).conjugate() * (one.stands - stands) for one in points) / sum(abs(one.seen - seen) ** 2 for one in points)
    if factor == 0:
        raise Unfit("the points do not fit each other at all: the same points in the picture and on the ground were expected")
    shift = stands - factor * seen
    return Lay(factor, shift, tuple(abs(factor * one.seen + shift - one.stands) for one in points))


def _farthest(points: Sequence[Known]) -> tuple[Known, Known]:
    """The two that lie farthest from each other in the picture."""
    return max(combinations(points, 2), key=lambda pair: abs(pair[0].seen - pair[1].seen))


def _middle(places: Sequence[complex]) -> complex:
    return sum(places) / len(places)


def doubts(lay: Lay, points: Sequence[Known], width: int, height: int) -> tuple[str, ...]:
    """What speaks against believing how a picture of so many pixels is laid, in sentences; of two points always that nothing checks them."""
    said = [*_base_doubt(lay, points, width, height), *_scale_doubt(lay), *_outside(points, width, height)]
    if len(points) == 2:
        return ("Two points always fit: give a third one, which tells whether they are right and the picture is to scale.", *said)
    worst = max(range(len(points)), key=lambda number: lay.off_m[number])
    if lay.off_m[worst] > max(OFF_PX * lay.metres_a_pixel, OFF_M):
        said.insert(0, _misfit(worst, lay.off_m[worst]))
    return tuple(said)


def _misfit(number: int, off_m: float) -> str:
    return f"The points do not fit: point {number + 1} lies {off_m:.2f} m from where all of them put it. One is wrong, or the picture is not to scale."


def _base_doubt(lay: Lay, points: Sequence[Known], width: int, height: int) -> list[str]:
    """Points close together carry their own error far."""
    one, other = _farthest(points)
    base, whole = abs(one.seen - other.seen), hypot(width, height)
    if base >= SHORT_BASE * whole:
        return []
    carried = lay.metres_a_pixel * ceil(whole / base)
    return [f"The points lie close together: one pixel's error at one of them is up to {carried:.2f} m at the picture's far corner. Take points farther apart."]


def _scale_doubt(lay: Lay) -> list[str]:
    scale = lay.metres_a_pixel
    return [] if FINEST_M <= scale <= COARSEST_M else [f"A pixel would be {scale:.3g} m on the ground, which is unlikely: look at the points again."]


def _outside(points: Sequence[Known], width: int, height: int) -> list[str]:
    out = [str(number) for number, one in enumerate(points, start=1) if not (0 <= one.col <= width and 0 <= one.row <= height)]
    return [f"Point {', '.join(out)} lies outside the picture of {width} × {height} pixels."] if out else []
