"""Time bars: one row for each thing that lasts a while, on one axis, with a window shaded across them all."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from records.paper.drawing import INK, PAPER, Area, Drawing, Item, Stroke, Words, box
from records.paper.text import wrapped
from records.rules.dates import day_start, instant_says, local_day

GOOD, BAD, SHADE, RULE, MARK = "#2e6b4a", "#a61b1b", "#eee6cf", "#999999", "#cccccc"
STEPS = (1, 2, 3, 5, 7, 14, 28, 61, 122, 365, 730, 1825, 3650, 18250)  # days between the marks of the axis
DAY = timedelta(days=1)
ALL = slice(None)
LEAST = timedelta(days=2)


@dataclass(frozen=True, slots=True)
class Bar:
    """`begins` None: there is nothing to draw; `ends` None: no end. `state` says in words how it stands, until when. `booked`: when it begins anew."""

    label: str
    state: str
    begins: datetime | None
    ends: datetime | None
    good: bool
    booked: tuple[datetime, ...] = ()


@dataclass(frozen=True, slots=True)
class Chart:
    """What all bars are held against: the window, the instant of looking, and the line that ends what they bear together."""

    bars: tuple[Bar, ...]
    window: tuple[datetime, datetime]
    at: datetime
    until: datetime
    until_says: str
    zone: ZoneInfo
    shaded: str = "the permit's window"
    asked: str = "judged at"
    marks: tuple[date, ...] = ()  # the days to name on an axis of bands; elsewhere they are found


@dataclass(frozen=True, slots=True)
class Axis:
    begins: datetime
    ends: datetime
    width: float

    def x(self, instant: datetime) -> float:
        """Where the instant stands, held to the axis."""
        return min(max((instant - self.begins) / (self.ends - self.begins), 0.0), 1.0) * self.width


def axis_of(chart: Chart, width: float) -> Axis:
    """From before the first to after the last of the window, the look and the line."""
    told = (*chart.window, chart.at, chart.until)
    first, last = min(told), max(told)
    margin = max((last - first) / 6, LEAST - (last - first), DAY / 2)
    return Axis(first - margin, last + margin, width)


def bars_drawing(chart: Chart, width: float, size: float, rows: slice = ALL) -> Drawing:
    """Some of the bars, or all, with axis and key."""
    bars = chart.bars[rows]
    axis = axis_of(chart, width)
    lines = list(wrapped_key(_key(chart), size, width - 3 * size))
    labels = [_label(bar, width, size) for bar in bars]
    heights = [(1.3 * len(label) + 1.2) * size for label in labels]
    key, foot = len(lines) * 1.4 * size + 0.6 * size, 1.8 * size
    tall = key + foot + sum(heights)
    top = tall - key
    items: list[Item] = [*key_drawn(lines, tall, size), *_ground(chart, axis, foot, top), *_marks(chart, axis, foot, top, size)]
    y = top
    for bar, label, height in zip(bars, labels, heights, strict=True):
        items += _words(bar, label, axis, y, size)
        y -= height
        items += [*bar_drawn(bar, axis, y + 0.45 * size, 0.7 * size), *_lines(chart, axis, y, y + 0.95 * size)]
    return Drawing(width, tall, tuple(items), _told(chart, bars))


def _told(chart: Chart, bars: tuple[Bar, ...]) -> str:
    return "Time bars. " + " ".join(f"{bar.label}: {bar.state}." for bar in bars) + f" {chart.until_says}."


def _key(chart: Chart) -> dict[str, str]:
    """What the shade and the lines are."""
    begins, ends = (instant_says(one, chart.zone) for one in chart.window)
    return {
        "window": f"shaded: {chart.shaded}, {begins} to {ends}",
        "until": f"thick line: {chart.until_says}",
        "at": f"dotted line: {chart.asked} {instant_says(chart.at, chart.zone)}",
    }


def wrapped_key(told: dict[str, str], size: float, room: float) -> Iterator[tuple[str, str]]:
    """Line by line what each symbol is, with the symbol at its first line."""
    for symbol, said in told.items():
        first, *more = wrapped(said, size, room)
        yield symbol, first.text
        yield from (("", line.text) for line in more)


def key_drawn(lines: list[tuple[str, str]], tall: float, size: float) -> Iterator[Item]:
    """The key from the top down: of the window, of the two lines, and of what is booked."""
    for at, (symbol, said) in enumerate(lines):
        y = tall - (at + 1) * 1.4 * size + 0.2 * size
        middle = y + 0.35 * size
        if symbol == "window":
            yield Area((box(0, y - 0.1 * size, 1.8 * size, size),), SHADE, RULE)
        elif symbol == "until":
            yield Stroke(((0, middle), (1.8 * size, middle)), 2)
        elif symbol == "at":
            yield Stroke(((0, middle), (1.8 * size, middle)), 0.8, INK, (1.5, 1.5))
        elif symbol == "booked":
            yield diamond(0.9 * size, middle, size)
        yield Words(2.6 * size, y, said, size)


def diamond(x: float, y: float, size: float) -> Area:
    """What is booked, about the point."""
    half = 0.5 * size
    return Area((((x - half, y), (x, y + half), (x + half, y), (x, y - half)),), PAPER, INK, 1.2)


def _ground(chart: Chart, axis: Axis, foot: float, top: float) -> Iterator[Item]:
    left, right = map(axis.x, chart.window)
    if right > left:
        yield Area((box(left, foot, right - left, top - foot),), SHADE, RULE, 0.4)
    yield Stroke(((0, foot), (axis.width, foot)), 0.6)


def _marks(chart: Chart, axis: Axis, foot: float, top: float, size: float) -> Iterator[Item]:
    """A mark at the first instant of some days, as many as have room for their names."""
    days = local_day(axis.ends, chart.zone) - local_day(axis.begins, chart.zone)
    room = max(int(axis.width / (7 * size)), 2)
    step = next((step for step in STEPS if days.days / step <= room), STEPS[-1])
    free = 0.0
    for day in _days(local_day(axis.begins, chart.zone) + DAY, local_day(axis.ends, chart.zone), step):
        x = axis.x(day_start(day, chart.zone))
        name = f"{day.day} {day:%b}" if free and day.month != 1 else f"{day.day} {day:%b} {day.year}"
        words = Words(x, foot - 1.3 * size, name, size, anchor="middle")
        yield Stroke(((x, foot - 0.3 * size), (x, top)), 0.3, MARK)
        if words.left >= free and words.left + words.wide <= axis.width:
            free = words.left + words.wide + 0.5 * size
            yield words


def _days(first: date, last: date, step: int) -> Iterator[date]:
    while first <= last:
        yield first
        if last - first < step * DAY:
            return
        first += step * DAY


def _state(bar: Bar, width: float, y: float, size: float) -> Words:
    return Words(width, y, bar.state, size, bold=not bar.good, anchor="end", colour=INK if bar.good else BAD)


def _label(bar: Bar, width: float, size: float) -> list[str]:
    """The label in as many lines as it needs beside the state."""
    room = width - _state(bar, width, 0, size).wide - size
    return [line.text for line in wrapped(bar.label, size, max(room, 8 * size))]


def _words(bar: Bar, label: list[str], axis: Axis, y: float, size: float) -> Iterator[Item]:
    for at, said in enumerate(label, start=1):
        yield Words(0, y - 1.3 * at * size + 0.15 * size, said, size)
    yield _state(bar, axis.width, y - 1.15 * size, size)


def bar_drawn(bar: Bar, axis: Axis, middle: float, thick: float) -> Iterator[Item]:
    """From when until when it is good; beyond the axis, an arrow."""
    if bar.begins is None:
        yield Stroke(((0, middle), (axis.width, middle)), 0.8, BAD, (1, 3))
        return
    colour = GOOD if bar.good else BAD
    beyond = axis.width - 1.3 * thick
    if bar.ends is not None and bar.ends <= axis.begins:
        yield _arrow(1.3 * thick, middle, thick, -1, colour)
    elif bar.begins >= axis.ends:
        yield _arrow(beyond, middle, thick, 1, colour)
    else:
        left, right = axis.x(bar.begins), axis.x(bar.ends or axis.ends)
        yield Area((box(left, middle - thick / 2, max(right - left, 1), thick),), colour if bar.good else PAPER, colour, 1)
        yield from () if bar.good else _crossed_out(left, right, middle, thick)
        if bar.ends is None or bar.ends > axis.ends:
            yield _arrow(beyond, middle, thick * 1.5, 1, colour)


def _arrow(x: float, y: float, tall: float, way: int, colour: str) -> Area:
    """It goes on beyond the axis."""
    return Area((((x, y - tall / 2), (x + way * tall * 0.9, y), (x, y + tall / 2)),), colour, colour, 0.5)


def _crossed_out(left: float, right: float, y: float, thick: float) -> Iterator[Item]:
    x = left
    while x + thick <= right:
        yield Stroke(((x, y - thick / 2), (x + thick, y + thick / 2)), 0.6, BAD)
        x += 2 * thick


def _lines(chart: Chart, axis: Axis, foot: float, top: float) -> Iterator[Item]:
    """Across the bars only, so that they hide no words."""
    at, until = axis.x(chart.at), axis.x(chart.until)
    yield Stroke(((at, foot), (at, top)), 0.8, INK, (1.5, 1.5))
    yield Stroke(((until, foot), (until, top)), 2)
