"""The key to a plan: what each area and line is, in words beside a piece of it."""

from collections.abc import Iterable, Iterator

from shapely import LineString, box

from records.paper.drawing import Drawing, Item, Words
from records.paper.plan import Ground, Plan, Scaled, Traced, ground_items, line_items, moved_up
from records.paper.text import wrapped

ALL = slice(None)


def key_drawing(plan: Plan, width: float, size: float, rows: slice = ALL) -> Drawing:
    """What everything on the plan is: some of it, or all."""
    told = [(one, wrapped(one.key, size, width - 4 * size)) for one in keyed(plan)[rows]]
    heights = [1.35 * size * len(lines) + 0.2 * size for _, lines in told]
    y = tall = sum(heights)
    items: list[Item] = []
    for (one, lines), height in zip(told, heights, strict=True):
        items += _sample(one, y - 1.2 * size, size)
        items += [Words(4 * size, y - (1 + 1.35 * at) * size, line.text, size) for at, line in enumerate(lines)]
        y -= height
    return Drawing(width, tall, tuple(items), "Key. " + " ".join(f"{one.key}." for one, _ in told))


def keyed(plan: Plan) -> list[Ground | Traced]:
    """What has a row in the key."""
    return [one for one in (*plan.grounds, *plan.lines) if one.key]


def _sample(one: Ground | Traced, y: float, size: float) -> Iterator[Item]:
    piece = box(0, y + 0.1 * size, 3 * size, y + 1.1 * size)
    flat = Scaled(0, 0, 1, 1e6, 1e6, 0)
    if isinstance(one, Ground):
        yield from ground_items(flat, Ground(piece, "", one.fill, one.colour, one.width, one.dash, one.hatch))
    else:
        line = LineString([(0, y + 0.6 * size), (3 * size, y + 0.6 * size)])
        yield from line_items(flat, Traced(line, one.tag, "", one.colour, one.dash))


def stacked(drawings: Iterable[Drawing], gap: float) -> Drawing:
    """Drawings one below the other as one."""
    some = list(drawings)
    tall = sum(one.height for one in some) + gap * (len(some) - 1)
    items: list[Item] = []
    top = tall
    for one in some:
        items += [moved_up(item, top - one.height) for item in one.items]
        top -= one.height + gap
    return Drawing(max(one.width for one in some), tall, tuple(items), " ".join(one.says for one in some))
