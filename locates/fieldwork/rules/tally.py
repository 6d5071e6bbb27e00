"""The ground's arithmetic in words, while it is swept and drawn: what the gate reckons, said beside the sketch."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from shapely.geometry import Polygon

from locates.permits.rules import clearance, search
from locates.permits.rules.frame import Frame
from locates.rules.ground import covers, crossed, edge_distance, six
from records.rules.verdict import rounded
from records.rules.words import PASSIVE, spoken

HALF_TURN = 180


@dataclass(frozen=True, slots=True)
class Ground:
    """How much of the needed ground one technique has still to sweep, in m². `one_way`: swept, but not in two directions that cross."""

    technique: str
    unswept_m2: Decimal
    one_way_m2: Decimal
    enough: bool

    @property
    def says(self) -> str:
        name = spoken(self.technique).capitalize()
        if self.enough:
            return f"{name}: all of the needed ground is swept."
        if self.unswept_m2:
            return f"{name}: {rounded(self.unswept_m2)} m² of the needed ground is not swept."
        return f"{name}: {rounded(self.one_way_m2)} m² of the needed ground is swept in one direction only."


@dataclass(frozen=True, slots=True)
class Line:
    """What a traced line means for the dig: metres from the outline to its edge, and the ground dug by hand for it, in m² (None: none)."""

    trace: str
    label: str
    distance_m: Decimal
    by_hand_m2: Decimal | None

    @property
    def says(self) -> str:
        by_hand = f"; {self.by_hand_m2} m² of the dig is by hand for it" if self.by_hand_m2 is not None else "; no part of the dig is by hand for it"
        return f"{self.label}: {self.distance_m} m from the outline to its edge{by_hand}."


@dataclass(frozen=True, slots=True)
class Tally:
    needed_m2: Decimal
    ground: tuple[Ground, ...]
    lines: tuple[Line, ...]
    hand_m2: Decimal
    hand_m3: Decimal

    @property
    def says(self) -> list[str]:
        """A sentence each."""
        by_hand = (
            f"To be dug by hand in all: {self.hand_m2} m², {self.hand_m3} m³."
            if self.lines
            else "Nothing is traced yet, so no ground is to be dug by hand yet."
        )
        return [*(one.says for one in self.ground), *(one.says for one in self.lines), by_hand]


def tally(frame: Frame) -> Tally:
    """All of it, of a locate under way. Areas are reckoned unrounded and said to the hundredth, as the gate says them."""
    nearby = clearance.near(frame)
    area, volume = clearance.hand_zone(frame, nearby)
    return Tally(rounded(frame.needed.area), tuple(_ground(frame)), tuple(_lines(frame, nearby)), rounded(area), rounded(volume))


def _ground(frame: Frame) -> Iterator[Ground]:
    both_ways = frame.numbers.yes("two_directions")
    for technique in PASSIVE:
        sweeps = search.sweeps_by(frame, technique)
        swept, across = search.swept(sweeps), crossed([(one.bearing_deg, one.area) for one in sweeps])
        left, one_way = (six(frame.needed.difference(one).area) for one in (swept, across))
        whole = covers(swept, frame.needed)
        enough = bool(sweeps) and whole and (not both_ways or covers(across, frame.needed))
        yield Ground(technique, Decimal(0) if whole and sweeps else left, one_way, enough)


def _lines(frame: Frame, nearby: list[clearance.Near]) -> Iterator[Line]:
    within = {one.trace.trace: one.within for one in nearby}
    for one in frame.locate.traces:
        label = f"{spoken(one.utility).capitalize()} by {spoken(one.technique)} ({one.trace})"
        by_hand = rounded(within[one.trace].area) if one.trace in within else None
        yield Line(one.trace, label, rounded(edge_distance(frame.permit.outline, one.line, one.width_m)), by_hand)


def along(outline: Polygon) -> int:
    """The bearing, in whole degrees from north below 180, of the longer side of the smallest rectangle about the outline: along it one walks first."""
    corners = list(outline.minimum_rotated_rectangle.exterior.coords)
    sides = [(x - x0, y - y0) for (x0, y0), (x, y) in pairwise(corners)]
    east, north = max(sides[:2], key=lambda side: math.hypot(*side))
    return round(math.degrees(math.atan2(east, north))) % HALF_TURN


def across(bearing: int) -> int:
    """The bearing that crosses another best."""
    return (bearing + HALF_TURN // 2) % HALF_TURN
