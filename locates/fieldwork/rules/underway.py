"""A locate under way, as the gate's evidence: with a permit that stands in for the one it is made for."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal

from shapely.geometry import LineString, Polygon

from locates.permits.rules.evidence import Area, Evidence, Locate, Permit, Person, Sweep, Trace

STAND_IN = "the dig"
SOMEWHERE = Polygon(((0, 0), (1, 0), (1, 1), (0, 1)))  # stands in while there is no outline; nothing is said of it
NOT_YET = "being drawn"
SHORTLY = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the field sheet says. `outline` None: where the dig will be is not told yet. `plans_seen`: enquiries, by identifier."""

    outline: Polygon | None = None
    depth_m: Decimal | None = None
    method: str | None = None
    plans_seen: frozenset[str] = frozenset()
    marks: tuple[str, ...] = ()
    photographs: int = 0


def stand_in(sheet: Sheet, person: Person, at: datetime) -> Permit:
    """The permit that the gate is asked about: of the sheet's dig, from now on. Nothing it says of times and people is told."""
    outline, depth, method = sheet.outline or SOMEWHERE, sheet.depth_m or Decimal(1), sheet.method or "hand"
    return Permit(STAND_IN, "", outline, depth, method, at, at + SHORTLY, person, person, ())


def with_outline(evidence: Evidence, outline: Polygon) -> Evidence:
    return replace(evidence, permit=replace(evidence.permit, outline=outline))


def with_sweep(evidence: Evidence, technique: str, area: Area, bearing_deg: Decimal | None = None) -> Evidence:
    """As if this had been swept too."""
    drawn = Sweep(NOT_YET, technique, area, bearing_deg)
    return replace(evidence, locate=replace(evidence.locate, sweeps=(*evidence.locate.sweeps, drawn)))


def with_trace(evidence: Evidence, utility: str, technique: str, line: LineString, quality_level: str, width_m: Decimal | None = None) -> Evidence:
    """As if this had been traced too."""
    drawn = Trace(NOT_YET, utility, technique, line, quality_level, width_m)
    return replace(evidence, locate=replace(evidence.locate, traces=(*evidence.locate.traces, drawn)))


def with_locate(evidence: Evidence, locate: Locate) -> Evidence:
    """As if the locate had begun."""
    return replace(evidence, locate=locate)
