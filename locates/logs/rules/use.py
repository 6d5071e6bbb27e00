"""What a log shows: when each mode was used and for how long, and over what ground. The log itself need not be read again for it."""

import json
import math
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from shapely import Point, from_wkt, set_precision, to_wkt
from shapely.geometry.base import BaseGeometry

from locates.logs.rules.layout import NOT_OURS
from locates.logs.rules.reading import Rows
from locates.logs.rules.times import instant, millis
from locates.rules.ground import grown, united
from records.rules.dates import local_day
from records.rules.text import Unfit

CELL_M = 0.1  # of points nearer to each other than this, one stands for all
AT_ONCE = 500  # points grown together
SMOOTH_M, MILLIMETRE = 0.01, 0.001
MOST_USES = 5_000


@dataclass(frozen=True, slots=True)
class Yardstick:
    """What a log is measured by: the longest gap (seconds) over which a mode counts as still used, how far (metres) about a reading the ground
    counts as covered, and which share of the ground claimed the log may leave out before that is told."""

    gap_s: Decimal
    reach_m: Decimal
    spare_ratio: Decimal


@dataclass(frozen=True, slots=True)
class Use:
    """One mode in use without a gap: from when until when (milliseconds), for how many of those in this mode, and with how many readings."""

    begins: int
    ends: int
    millis: int
    rows: int


@dataclass(frozen=True, slots=True)
class Patch:
    """The ground that one technique covered between two instants (milliseconds)."""

    begins: int
    ends: int
    ground: BaseGeometry


@dataclass(frozen=True, slots=True)
class Account:
    """What a log shows, by technique; under the blank one, what is none of ours.

    `days`: readings by the site's own day. `values`: lowest and highest reading. `unplaced`: readings without a position.
    """

    measured: Yardstick
    rows: int
    unplaced: int
    first: datetime
    last: datetime
    days: Mapping[str, int]
    uses: Mapping[str, tuple[Use, ...]]
    values: Mapping[str, tuple[float, float]]
    ground: Mapping[str, tuple[Patch, ...]]

    @property
    def placed(self) -> bool:
        """Does it say where it was at all?"""
        return self.unplaced < self.rows


def account(rows: Rows, words: Mapping[str, str], site: ZoneInfo, by: Yardstick, cuts: Sequence[datetime] = ()) -> Account:
    """Sum up what was read. `words`: the technique that each word means. `cuts`: instants over which no use goes on, such as a locate's begin and end.

    Raises Unfit where the readings lie too far apart to be one locate's.
    """
    techniques = [words[word] for word in rows.words]
    order = sorted(range(len(rows)), key=rows.at.__getitem__)
    stages = sorted(map(millis, cuts))
    return Account(
        measured=by,
        rows=len(rows),
        unplaced=sum(map(math.isnan, rows.x)),
        first=instant(rows.at[order[0]]),
        last=instant(rows.at[order[-1]]),
        days=_days(rows, site),
        uses=_uses(rows, techniques, order, int(by.gap_s * 1000), stages),
        values=_values(rows, techniques),
        ground=_ground(rows, techniques, order, by.reach_m, stages),
    )


def _uses(rows: Rows, techniques: list[str], order: list[int], gap: int, stages: list[int]) -> dict[str, tuple[Use, ...]]:
    """The time from a reading to the next is its mode's, unless it is longer than the gap. A mode that is back within the gap was never away."""
    found: dict[str, list[Use]] = {}
    for place, number in enumerate(order):
        at, uses = rows.at[number], found.setdefault(techniques[rows.mode[number]], [])
        after = rows.at[order[place + 1]] if place + 1 < len(order) else at
        lasts = after - at if after - at <= gap else 0
        if uses and at - uses[-1].ends <= gap and bisect_right(stages, at) == bisect_right(stages, uses[-1].begins):
            last = uses[-1]
            uses[-1] = Use(last.begins, at + lasts, last.millis + lasts, last.rows + 1)
        else:
            uses.append(Use(at, at + lasts, lasts, 1))
        if len(uses) > MOST_USES:
            raise Unfit(f"the readings fall into more than {MOST_USES:,} separate uses of one mode: the log of one locate was expected")
    return {technique: tuple(uses) for technique, uses in found.items()}


def _ground(rows: Rows, techniques: list[str], order: list[int], reach_m: Decimal, stages: list[int]) -> dict[str, tuple[Patch, ...]]:
    """What each technique covered in each stage: one reading stands for all in a cell of the ground."""
    cells: dict[tuple[str, int], dict[tuple[int, int], int]] = {}
    for number in order:
        x, y, technique = rows.x[number], rows.y[number], techniques[rows.mode[number]]
        if technique != NOT_OURS and not math.isnan(x):
            held = cells.setdefault((technique, bisect_right(stages, rows.at[number])), {})
            held.setdefault((math.floor(x / CELL_M), math.floor(y / CELL_M)), number)
    found: dict[str, tuple[Patch, ...]] = {}
    for (technique, _), held in cells.items():
        numbers = list(held.values())
        shape = covered([(rows.x[number], rows.y[number]) for number in numbers], reach_m)
        found[technique] = (*found.get(technique, ()), Patch(rows.at[numbers[0]], rows.at[numbers[-1]], shape))
    return found


def _days(rows: Rows, site: ZoneInfo) -> dict[str, int]:
    """Readings by the site's day. Most rows share their hour with the one before, and no zone changes its day within a quarter of an hour."""
    quarters = Counter(at // 900_000 for at in rows.at)
    found: Counter[str] = Counter()
    for quarter, count in quarters.items():
        found[local_day(instant(quarter * 900_000), site).isoformat()] += count
    return dict(sorted(found.items()))


def _values(rows: Rows, techniques: list[str]) -> dict[str, tuple[float, float]]:
    found: dict[str, tuple[float, float]] = {}
    for mode, value in zip(rows.mode, rows.value, strict=True):
        if not math.isnan(value):
            low, high = found.get(techniques[mode], (value, value))
            found[techniques[mode]] = min(low, value), max(high, value)
    return found


def covered(points: list[tuple[float, float]], reach_m: Decimal) -> BaseGeometry:
    """The ground within reach of any of the points, to a centimetre: some at once, so that the memory stays bounded."""
    parts = (united(grown(Point(one), reach_m) for one in points[at : at + AT_ONCE]) for at in range(0, len(points), AT_ONCE))
    whole = united([part.simplify(SMOOTH_M) for part in parts])
    return set_precision(whole.simplify(SMOOTH_M), MILLIMETRE)


# as it is kept


def written(one: Account) -> str:
    """The account as text."""
    told = {
        "measured": [f"{number:f}" for number in (one.measured.gap_s, one.measured.reach_m, one.measured.spare_ratio)],
        "rows": one.rows,
        "unplaced": one.unplaced,
        "first": one.first.isoformat(),
        "last": one.last.isoformat(),
        "days": dict(one.days),
        "uses": {technique: [[use.begins, use.ends, use.millis, use.rows] for use in uses] for technique, uses in one.uses.items()},
        "values": {technique: list(ends) for technique, ends in one.values.items()},
        "ground": {technique: [_patch(patch) for patch in patches] for technique, patches in one.ground.items()},
    }
    return json.dumps(told, sort_keys=True, separators=(",", ":"))


def _patch(one: Patch) -> list[int | str]:
    return [one.begins, one.ends, to_wkt(one.ground, rounding_precision=3)]


def read_back(text: str) -> Account:
    """The account that the text keeps."""
    kept = json.loads(text)
    return Account(
        measured=Yardstick(*map(Decimal, kept["measured"])),
        rows=kept["rows"],
        unplaced=kept["unplaced"],
        first=datetime.fromisoformat(kept["first"]),
        last=datetime.fromisoformat(kept["last"]),
        days=kept["days"],
        uses={technique: tuple(Use(*one) for one in uses) for technique, uses in kept["uses"].items()},
        values={technique: (low, high) for technique, (low, high) in kept["values"].items()},
        ground={technique: tuple(Patch(*ends, from_wkt(shape)) for *ends, shape in patches) for technique, patches in kept["ground"].items()},
    )


def within(uses: tuple[Use, ...], begins: int, ends: int | None) -> Iterator[Use]:
    """The uses cut to a span (milliseconds; None: not ended yet). The time of one that is cut is shared out evenly over it."""
    for use in uses:
        start, end = max(use.begins, begins), use.ends if ends is None else min(use.ends, ends)
        if start > end or (start == end and use.begins != use.ends):
            continue
        share = (end - start) / (use.ends - use.begins) if use.ends > use.begins else 1
        yield Use(start, end, round(use.millis * share), round(use.rows * share) or 1)


def ground_within(patches: tuple[Patch, ...], begins: int, ends: int | None) -> BaseGeometry:
    """What was covered in patches that reach into a span; a patch is not parted."""
    return united(one.ground for one in patches if one.ends >= begins and (ends is None or one.begins <= ends))
