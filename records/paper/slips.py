"""Words on slips of paper upon a drawing, each where it hides none that is there already."""

import math
from collections.abc import Iterator

from records.paper.drawing import FRAME, INK, PAPER, Area, Item, Point, Words, box
from records.paper.text import width

Slip = tuple[float, float, float, float]  # left, bottom, right, top


def around(x: float, y: float, size: float) -> list[Point]:
    """The point, and points on rings about it."""
    ways = [(math.cos(math.radians(degrees)), math.sin(math.radians(degrees))) for degrees in range(90, 450, 45)]
    return [(x, y), *((x + 1.6 * ring * size * east, y + ring * size * north) for ring in (1.5, 3, 4.5, 6) for east, north in ways)]


class Slips:
    """The slips that lie on one drawing."""

    def __init__(self, width: float, height: float, size: float) -> None:
        self.width, self.height, self.size = width, height, size
        self.taken: list[Slip] = []

    def put(self, said: str, places: list[Point], must: bool = False) -> Iterator[Item]:
        """Words at the first of the places that is free. Where none is: at the first if they must be there, bold and framed in ink; else nowhere."""
        wide, tall = width(said, self.size, must) + 0.5 * self.size, 1.2 * self.size
        slips = [self._at(x, y, wide, tall) for x, y in places]
        free = next((slip for slip in slips if not any(_meet(slip, other) for other in self.taken)), None)
        chosen = free or (slips[0] if must and slips else None)
        if chosen:
            self.taken.append(chosen)
            left, bottom, _, _ = chosen
            yield Area((box(left, bottom, wide, tall),), PAPER, INK if must else FRAME, 0.4)
            yield Words(left + 0.25 * self.size, bottom + 0.27 * self.size, said, self.size, must)

    def _at(self, x: float, y: float, wide: float, tall: float) -> Slip:
        """A slip about the point, kept within the drawing."""
        left = min(max(x - wide / 2, 1), max(self.width - wide - 1, 1))
        bottom = min(max(y - tall / 2, 1), max(self.height - tall - 1, 1))
        return left, bottom, left + wide, bottom + tall


def _meet(one: Slip, other: Slip) -> bool:
    return one[0] <= other[2] and other[0] <= one[2] and one[1] <= other[3] and other[1] <= one[3]
