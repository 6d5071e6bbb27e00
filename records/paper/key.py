"""The key to a plan: what each area and line is, in words beside a piece of it."""

from collections.abc import Iterable, Iterator

from shapely import LineString, box

from records.paper.drawing import Drawing, Item, Words
from records.paper.plan import Ground, Plan, Scaled, Traced, ground_items, line_items, moved_up
from records.paper.text import Line, wrapped

Row = tuple[list[Line], Ground | Traced]


def key_rows(plan: Plan, size: float, room: float) -> list[Row]:
    return [(wrapped(one.key, size, room), one) for one in (*plan.grounds, *plan.lines) if one.key]


def key_drawings(plan: Plan, width: float, size: float, height: float, slack: float = 1.0) -> list[Drawing]:
    """What everything on the plan is, in words beside a piece of it, in drawings no taller than the height. `slack` as for the bars."""
    pages: list[list[Row]] = [[]]
    used = 0.0
    for row in key_rows(plan, size, (width - 4 * size) / slack):
        tall = _tall(row[0], size)
        if pages[-1] and used + tall > height:
            pages.append([])
            used = 0.0
        pages[-1].append(row)
        used += tall
    return [_key_page(rows, width, size) for rows in pages if rows]


def _tall(lines: list[Line], size: float) -> float:
    return 1.35 * size * len(lines) + 0.2 * size


def _key_page(rows: list[Row], width: float, size: float) -> Drawing:
    tall = sum(_tall(lines, size) for lines, _ in rows)
    items: list[Item] = []
    y = tall
    for lines, one in rows:
        items += _sample(one, y - 1.2 * size, size)
        for at, line in enumerate(lines):
            items.append(Words(4 * size, y - (1 + 1.35 * at) * size, line.text, size))
        y -= _tall(lines, size)
    return Drawing(width, tall, tuple(items), "Key. " + " ".join(f"{one.key}." for _, one in rows))


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
