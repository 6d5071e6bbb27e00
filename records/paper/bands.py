"""Time bars each in a band of its own, beneath its words: for a narrow page, and where nothing may run through words."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from records.paper.bars import ALL, BAD, MARK, RULE, SHADE, Axis, Bar, Chart, axis_of, bar_drawn, diamond, key_drawn, wrapped_key
from records.paper.drawing import INK, Area, Drawing, Item, Stroke, Words, box
from records.paper.text import width as wide
from records.paper.text import wrapped
from records.rules.dates import day_says, day_start, last_day_says, local_day

THICK, BAND, LEADING = 0.7, 1.3, 1.3  # of the size of the words
MANY = 6  # so many rows are read without looking back at an axis above them


@dataclass(frozen=True, slots=True)
class _Row:
    """A bar with its words; `beside`: on one line, for both have room, else one below the other."""

    bar: Bar
    lines: tuple[str, ...]
    state: tuple[str, ...]
    beside: bool

    def tall(self, size: float) -> float:
        lines = 1 if self.beside else len(self.lines) + len(self.state)
        return (LEADING * lines + BAND + 0.5) * size


def bands_drawing(chart: Chart, width: float, size: float, rows: slice = ALL) -> Drawing:
    """Some of the bars, or all, with axis and key."""
    bars = chart.bars[rows]
    axis, made = axis_of(chart, width), [_row(bar, width, size) for bar in bars]
    key = list(wrapped_key(_key(chart, bars, axis), size, width - 3 * size))
    foot, head = 1.8 * size, (1.8 if len(bars) > MANY else 0.3) * size
    tall = foot + sum(row.tall(size) for row in made) + head + 1.4 * len(key) * size
    items: list[Item] = list(key_drawn(key, tall, size))
    y = tall - 1.4 * len(key) * size - head
    items += _names(chart, axis, y + 0.5 * size, size) if len(bars) > MANY else ()
    for row in made:
        items += _words(row, width, y, size)
        y -= row.tall(size)
        items += _band(chart, axis, row.bar, y + 0.4 * size, size)
    items += [Stroke(((0, foot), (width, foot)), 0.6), *_names(chart, axis, foot - 1.3 * size, size)]
    return Drawing(width, tall, tuple(items), " ".join((f"Time bars of {chart.shaded}.", *(f"{bar.label}: {bar.state}." for bar in bars))))


def _row(bar: Bar, width: float, size: float) -> _Row:
    beside = wide(bar.label, size) + size + wide(bar.state, size, not bar.good) <= width
    lines, state = (wrapped(said, size, width, bold) for said, bold in ((bar.label, False), (bar.state, not bar.good)))
    return _Row(bar, tuple(one.text for one in lines), tuple(one.text for one in state), beside)


def _key(chart: Chart, bars: tuple[Bar, ...], axis: Axis) -> dict[str, str]:
    begins, ends = chart.window
    told = {"window": f"shaded: {chart.shaded}, {day_says(local_day(begins, chart.zone))} through {last_day_says(ends, chart.zone)}"}
    told["at"] = f"dotted line: {chart.asked} {day_says(local_day(chart.at, chart.zone))}"
    booked = [one for bar in bars for one in bar.booked]
    if booked:
        later = "; at the right edge: after that" if max(booked) > axis.ends else ""
        told["booked"] = f"diamond: a booked renewal begins{later}"
    return told


def _names(chart: Chart, axis: Axis, y: float, size: float) -> Iterator[Item]:
    for day in chart.marks:
        words = Words(axis.x(day_start(day, chart.zone)), y, f"{day.day} {day:%b}", size, anchor="middle")
        yield replace(words, x=min(words.x, axis.width - words.wide / 2))


def _words(row: _Row, width: float, top: float, size: float) -> Iterator[Item]:
    bold, colour = not row.bar.good, INK if row.bar.good else BAD
    y = top - size
    for said in row.lines:
        yield Words(0, y, said, size)
        y -= LEADING * size
    if row.beside:
        yield Words(width, top - size, row.state[0], size, bold, "end", colour)
        return
    for said in row.state:
        yield Words(0, y, said, size, bold, colour=colour)
        y -= LEADING * size


def _band(chart: Chart, axis: Axis, bar: Bar, foot: float, size: float) -> Iterator[Item]:
    """The bar on its piece of the axis: the window, the days' marks, the instant of looking, and what is booked."""
    top, (left, right) = foot + BAND * size, map(axis.x, chart.window)
    yield Area((box(left, foot, right - left, top - foot),), SHADE, RULE, 0.4)
    yield from (Stroke(((x, foot), (x, top)), 0.3, MARK) for x in (axis.x(day_start(day, chart.zone)) for day in chart.marks))
    middle = (foot + top) / 2
    yield from bar_drawn(bar, axis, middle, THICK * size)
    yield Stroke(((axis.x(chart.at), foot), (axis.x(chart.at), top)), 0.8, INK, (1.5, 1.5))
    half = 0.5 * size
    yield from (diamond(min(max(axis.x(one), half), axis.width - half), middle, size) for one in bar.booked)
