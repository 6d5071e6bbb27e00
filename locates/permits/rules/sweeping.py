"""How the ground that an outline needs was swept, mode by mode, in figures for whoever draws the outline; and where it would have been swept in full.

The verdict is the gate's alone: this tells where, so that an outline can be put right.
"""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from locates.permits.rules.evidence import Evidence
from locates.permits.rules.frame import Frame, framed
from locates.permits.rules.search import sweeps_by, swept
from locates.rules.ground import NOWHERE, covers, crossed, room_within, shared
from records.rules.wkt import SMALLEST_OUTLINE_M2
from records.rules.words import PASSIVE


@dataclass(frozen=True, slots=True)
class Mode:
    """One passive technique: the ground it swept, and of the needed ground what it left out and what it swept in one direction only, where two are asked."""

    technique: str
    swept: BaseGeometry
    left_out: BaseGeometry
    one_way: BaseGeometry


@dataclass(frozen=True, slots=True)
class Swept:
    """The ground needed, by each mode. What still counts as covered is not told as left out. `room` None: no outline fits with its margin."""

    needed: BaseGeometry
    margin_m: Decimal
    modes: tuple[Mode, ...]
    room: Polygon | None

    @property
    def whole(self) -> bool:
        return all(one.left_out.is_empty and one.one_way.is_empty for one in self.modes)


def of_outline(evidence: Evidence, at: datetime) -> Swept | None:
    """The needed ground as the permit's locate swept it; None where it names none."""
    frame = framed(evidence, at)
    if frame.locate is None:
        return None
    margin = frame.numbers.number("sweep_margin_m")
    room = room_within(shared(counting(frame, one) for one in PASSIVE), margin, SMALLEST_OUTLINE_M2)
    return Swept(frame.needed, margin, tuple(_mode(frame, one) for one in PASSIVE), room)


def counting(frame: Frame, technique: str) -> BaseGeometry:
    """The ground whose sweeps by the technique count: in two directions that cross, where the numbers in force ask for them."""
    sweeps = sweeps_by(frame, technique)
    return crossed([(one.bearing_deg, one.area) for one in sweeps]) if frame.numbers.yes("two_directions") else swept(sweeps)


def _mode(frame: Frame, technique: str) -> Mode:
    once, counts = swept(sweeps_by(frame, technique)), counting(frame, technique)
    left_out = _lacking(once, frame.needed)
    return Mode(technique, once, left_out, _lacking(counts, frame.needed).difference(left_out))


def _lacking(area: BaseGeometry, ground: BaseGeometry) -> BaseGeometry:
    """What of the ground the area lacks, as the gate counts it: nothing where the area covers it."""
    return NOWHERE if covers(area, ground) else ground.difference(area)
