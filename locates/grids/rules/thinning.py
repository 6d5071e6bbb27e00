"""A line or a ring with fewer points, no point of the old one farther from it than is stated."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely

from records.rules.text import Unfit

MOST_M = 1.0  # a line that is moved farther is another line

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Thinned:
    """The points that are kept, of how many; the tolerance, and how far the farthest of the others really lies from the line that is kept, metres."""

    points: tuple[Point, ...]
    of: int
    tolerance_m: float
    farthest_m: float

    @property
    def says(self) -> str:
        if len(self.points) == self.of:
            return f"all {self.of} points are kept"
        return f"{len(self.points)} of {self.of} points are kept; the others lie within {self.farthest_m:.3f} m of the line that is left"


def thinned(points: Sequence[Point], tolerance_m: float) -> Thinned:
    """Points of a line, or of a ring whose last point is its first, thinned. All are kept by a tolerance of 0, and of a ring that would cross itself.

    Raises Unfit for a tolerance of no use.
    """
    if not 0 <= tolerance_m <= MOST_M:
        raise Unfit(f"{tolerance_m:g} m is no tolerance to thin by: 0 to {MOST_M:g} m was expected")
    if tolerance_m == 0 or len(points) < 3:
        return Thinned(tuple(points), len(points), tolerance_m, 0.0)
    kept = shapely.LineString(points).simplify(tolerance_m, preserve_topology=False)
    left = tuple((x, y) for x, y in kept.coords)
    if points[0] == points[-1] and not (len(left) > 3 and shapely.Polygon(left).is_valid):
        left = tuple(points)
    return Thinned(left, len(points), tolerance_m, _farthest(points, left) if len(left) < len(points) else 0.0)


def _farthest(points: Sequence[Point], left: Sequence[Point]) -> float:
    """How far the farthest of the points lies from the line; by a tree of its pieces, so that a long line takes no time."""
    pieces = shapely.STRtree([shapely.LineString(piece) for piece in pairwise(left)])
    return float(pieces.query_nearest(shapely.points(points), all_matches=False, return_distance=True)[1].max())
