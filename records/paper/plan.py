"""A plan of the ground to scale: areas, hatched areas and lines in a metre grid, with tags, a key, a scale bar and north.

Grid coordinates in metres, x to the east and y to the north; drawings in points.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from shapely import box, intersection, linestrings
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from records.paper import drawing
from records.paper.drawing import FRAME, INK, PAPER, Area, Drawing, Item, Point, Stroke, Words
from records.paper.slips import Slip, Slips, around
from records.paper.text import wrapped

POINTS_PER_METRE = 72 / 0.0254
GRID_LINES = 30  # at most, from one side to the other
FINE, GRID = 0.35, "#cfcfcf"


@dataclass(frozen=True, slots=True)
class Ground:
    """An area; `hatch`: the angle of its hatching in degrees; `key`: what it is, in words; `notes`: words to stand in its parts."""

    shape: BaseGeometry
    key: str
    fill: str | None = None
    colour: str | None = None
    width: float = 0.6
    dash: tuple[float, ...] = ()
    hatch: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Traced:
    """A line with its tag; the key says the rest of it."""

    line: BaseGeometry
    tag: str
    key: str
    colour: str
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """What is drawn, the lowest first. The view is what must be seen and a margin."""

    view: BaseGeometry
    grounds: tuple[Ground, ...]
    lines: tuple[Traced, ...]
    says: str


@dataclass(frozen=True, slots=True)
class Scaled:
    """How the ground lies on the paper. `ratio` 0: to no round scale."""

    left: float
    bottom: float
    per_metre: float
    width: float
    height: float
    ratio: int

    def place(self, shape: BaseGeometry) -> BaseGeometry:
        k = self.per_metre
        return affine_transform(shape, (k, 0, 0, k, -self.left * k, -self.bottom * k))

    @property
    def frame(self) -> BaseGeometry:
        return box(0, 0, self.width, self.height)


def round_steps(least: float) -> float:
    """The least round number (1, 2, 5, 10, 20 …) that is not below."""
    ten = 10.0 ** math.floor(math.log10(least))
    return next(digit * ten for digit in (1, 2, 5, 10) if digit * ten >= least * (1 - 1e-9))


def scaled(view: BaseGeometry, width: float, height: float, to_scale: bool) -> Scaled:
    """The view in the middle of a frame of that width and at most that height, to the largest round scale that fits."""
    left, bottom, right, top = view.bounds
    margin = 0.08 * max(right - left, top - bottom, 0.5)
    across, up = right - left + 2 * margin, top - bottom + 2 * margin
    fit = min(width / across, height / up)
    ratio = round_steps(POINTS_PER_METRE / fit) if to_scale else 0
    per_metre = POINTS_PER_METRE / ratio if ratio else fit
    tall = min(height, max(up * per_metre, height * 0.4))
    return Scaled((left + right) / 2 - width / per_metre / 2, (bottom + top) / 2 - tall / per_metre / 2, per_metre, width, tall, round(ratio))


def plan_drawing(plan: Plan, width: float, height: float, size: float, to_scale: bool = True) -> Drawing:
    """The map alone; `records.paper.key` draws its key. To scale, the scale is stated."""
    to = scaled(plan.view, width, height, to_scale)
    said = _foot_says(to, size)
    foot = max(3.2, 1.25 * len(said) + 0.65) * size
    items: list[Item] = [*_grid(to)]
    for ground in plan.grounds:
        items += ground_items(to, ground)
    for line in plan.lines:
        items += line_items(to, line)
    items += _words(to, plan, size)
    items.append(Area((drawing.box(0, 0, to.width, to.height),), None, FRAME, 0.8))
    items += [*_north(to, size)]
    raised = [moved_up(item, foot) for item in items]
    return Drawing(width, to.height + foot, (*raised, *_foot(to, size, said, foot - 1.3 * size)), plan.says)


def moved_up(item: Item, by: float) -> Item:
    if isinstance(item, Words):
        return Words(item.x, item.y + by, item.said, item.size, item.bold, item.anchor, item.colour)
    if isinstance(item, Area):
        return Area(tuple(_moved(ring, by) for ring in item.rings), item.fill, item.colour, item.width, item.dash)
    return Stroke(_moved(item.points, by), item.width, item.colour, item.dash)


def _moved(points: tuple[Point, ...], by: float) -> tuple[Point, ...]:
    return tuple((x, y + by) for x, y in points)


def _grid_step(to: Scaled) -> float:
    return round_steps(max(to.width / to.per_metre / GRID_LINES, 0.001))


def _grid(to: Scaled) -> Iterator[Item]:
    step, k = _grid_step(to), to.per_metre
    for along, start, reach in ((True, to.left, to.width), (False, to.bottom, to.height)):
        first = math.ceil(start / step)
        for number in range(first, math.floor((start + reach / k) / step) + 1):
            at = (number * step - start) * k
            ends = ((at, 0.0), (at, to.height)) if along else ((0.0, at), (to.width, at))
            yield Stroke(ends, FINE, GRID)


def ground_items(to: Scaled, ground: Ground) -> Iterator[Item]:
    seen = to.place(ground.shape).intersection(to.frame)
    for polygon in parts(seen, "Polygon"):
        rings = tuple(tuple(ring.coords) for ring in (polygon.exterior, *polygon.interiors))
        if ground.hatch is not None:
            yield from (Stroke(tuple(one.coords), 0.5, ground.colour or INK) for one in hatching(polygon, ground.hatch))
        yield Area(rings, ground.fill, ground.colour, ground.width, ground.dash)


def parts(shape: BaseGeometry, kind: str) -> list[BaseGeometry]:
    """The polygons, or lines, of a shape of any kind, without empty ones."""
    if hasattr(shape, "geoms"):
        return [one for member in shape.geoms for one in parts(member, kind)]
    return [shape] if shape.geom_type == kind and not shape.is_empty else []


def hatching(polygon: BaseGeometry, angle: float, gap: float = 4.0) -> list[BaseGeometry]:
    """Parallel lines over a polygon, so many points apart, in one pattern over the whole paper."""
    along = (math.cos(math.radians(angle)), math.sin(math.radians(angle)))
    corners = [(x * along[0] + y * along[1], y * along[0] - x * along[1]) for x, y in polygon.exterior.coords]
    first, last = (pick(u for u, _ in corners) for pick in (min, max))
    low, high = (pick(v for _, v in corners) for pick in (min, max))
    ends = [[(u * along[0] - v * along[1], u * along[1] + v * along[0]) for u in (first - 1, last + 1)] for v in _multiples(low, high, gap)]
    return [one for line in intersection(linestrings(ends), polygon) for one in parts(line, "LineString")] if ends else []


def _multiples(low: float, high: float, step: float) -> list[float]:
    return [number * step for number in range(math.ceil(low / step), math.floor(high / step) + 1)]


def line_items(to: Scaled, traced: Traced) -> Iterator[Item]:
    """Its colour on a black edge, so that pale colours and grey copies keep it."""
    for piece in parts(to.place(traced.line).intersection(to.frame), "LineString"):
        points = tuple(piece.coords)
        yield Stroke(points, 3.6, PAPER)
        yield Stroke(points, 2.8, INK, traced.dash)
        yield Stroke(points, 1.8, traced.colour, traced.dash)


def _words(to: Scaled, plan: Plan, size: float) -> Iterator[Item]:
    """A tag on every line seen; a note on an area where there is room for one."""
    slips = Slips(to.width, to.height, size)
    slips.taken.append(_north_place(to, size))
    for traced in plan.lines:
        pieces = parts(to.place(traced.line).intersection(to.frame), "LineString")
        yield from slips.put(traced.tag, [(point.x, point.y) for point in _along(pieces)], must=True)
    for ground in plan.grounds:
        seen = parts(to.place(ground.shape).intersection(to.frame), "Polygon") if ground.note else []
        for point in [polygon.representative_point() for polygon in seen[:1]]:
            yield from slips.put(ground.note, around(point.x, point.y, size))


def _along(pieces: list[BaseGeometry]) -> Iterator[BaseGeometry]:
    """Points of the lines, from their middles outwards."""
    for share in sorted(range(2, 100, 4), key=lambda share: abs(share - 50)):
        yield from (piece.interpolate(share / 100, normalized=True) for piece in pieces)


def _north_place(to: Scaled, size: float) -> Slip:
    return to.width - 2.6 * size, to.height - 4.6 * size, to.width - 0.4 * size, to.height - 0.4 * size


def _north(to: Scaled, size: float) -> Iterator[Item]:
    left, bottom, right, top = _north_place(to, size)
    middle = (left + right) / 2
    yield Area((drawing.box(left, bottom, right - left, top - bottom),), PAPER, FRAME, 0.4)
    yield Words(middle, bottom + 0.35 * size, "N", size, True, "middle")
    tip, low = top - 0.3 * size, bottom + 1.5 * size
    yield Area((((middle, tip), (middle - 0.7 * size, low), (middle, low + 0.5 * size), (middle + 0.7 * size, low)),), INK, INK, 0.4)


def _bar(to: Scaled) -> float:
    """Half the scale bar's length in metres: a round one."""
    return round_steps(max(to.width / to.per_metre / 5, 0.001)) / 2


def _foot_says(to: Scaled, size: float) -> list[str]:
    """What scale and grid are, in lines beside the scale bar."""
    scale = f"scale 1:{to.ratio} at full size; " if to.ratio else ""
    corner = f"lower left corner {to.left:.1f} m east, {to.bottom:.1f} m north"
    room = to.width - 2 * _bar(to) * to.per_metre - 4 * size
    return [line.text for line in wrapped(f"{scale}grid {_metres(_grid_step(to))} m; {corner}; north of the site's grid is up", size, room)]


def _foot(to: Scaled, size: float, said: list[str], y: float) -> Iterator[Item]:
    """A scale bar of a round length with its top line at y, and beside it what is said."""
    long, left = _bar(to), 0.0
    for part in range(4):
        x = left + part * long / 2 * to.per_metre
        yield Area((drawing.box(x, y, long / 2 * to.per_metre, 0.5 * size),), INK if part % 2 == 0 else PAPER, INK, 0.5)
    yield Words(left, y - 1.3 * size, "0", size)
    yield Words(left + 2 * long * to.per_metre, y - 1.3 * size, f"{_metres(2 * long)} m", size, anchor="middle")
    start = left + 2 * long * to.per_metre + 4 * size
    yield from (Words(start, y - 1.25 * at * size, line, size) for at, line in enumerate(said))


def _metres(length: float) -> str:
    return f"{length:.3f}".rstrip("0").rstrip(".")
