"""What the gate is given: the records of one permit as plain values.

Dates are site days, instants zone-aware (UTC), lengths exact decimals in metres, shapes shapely geometries in the site's metre grid.
"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from shapely.geometry import LineString, MultiPolygon, Polygon

from locates.owners.rules.terms import NO_TERMS, Terms
from locates.rules.fitness import Instrument
from records.rules.cover import Award
from records.rules.numbers import Row

Area = Polygon | MultiPolygon


@dataclass(frozen=True, slots=True)
class Person:
    person: str
    name: str
    left_on: date | None = None
    awards: tuple[Award, ...] = ()


@dataclass(frozen=True, slots=True)
class Site:
    """A place of work. `schemes`: the rows that say of what scheme its quality levels are; they are named by it, and judged by no rule."""

    site: str
    name: str
    zone: ZoneInfo
    rule_set: str = "default"
    owners_to_ask: tuple[str, ...] = ()
    schemes: tuple[Row, ...] = ()


@dataclass(frozen=True, slots=True)
class PlanService:
    service: str
    enquiry: str
    utility: str
    conductive: bool
    same_as: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FoundWrong:
    """That an answer was found wrong: when, and what is wrong."""

    wrong: str
    found_at: datetime
    what: str


@dataclass(frozen=True, slots=True)
class Enquiry:
    """An owner asked, and perhaps the answer. `area` None: the whole site. `found_wrong`: what was found wrong in the answer."""

    enquiry: str
    service_owner: str
    sent_on: date
    area: Area | None = None
    answered_at: datetime | None = None
    good_through: date | None = None
    nothing_shown: bool = False
    reference_no: str = ""
    replaces: tuple[str, ...] = ()
    closed_on: date | None = None
    closed_because: str = ""
    services: tuple[PlanService, ...] = ()
    found_wrong: tuple[FoundWrong, ...] = ()


@dataclass(frozen=True, slots=True)
class Sweep:
    sweep: str
    technique: str
    area: Area
    bearing_deg: Decimal | None = None
    spacing_m: Decimal | None = None
    transmitter_offset_m: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Trace:
    trace: str
    utility: str
    technique: str
    line: LineString
    quality_level: str
    width_m: Decimal | None = None
    depth_m: Decimal | None = None
    raised_by_m: Decimal | None = None
    raised_depth_m: Decimal | None = None
    services: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    service: str
    outcome: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Locate:
    """The locate as a whole. An instrument not named is None."""

    locate: str
    site: str
    operator: Person
    receiver: Instrument | None
    started_at: datetime
    finished_at: datetime | None = None
    transmitter: Instrument | None = None
    clamp: Instrument | None = None
    sonde: Instrument | None = None
    sweeps: tuple[Sweep, ...] = ()
    traces: tuple[Trace, ...] = ()
    outcomes: tuple[Outcome, ...] = ()


@dataclass(frozen=True, slots=True)
class Permit:
    permit: str
    work: str
    outline: Polygon
    depth_m: Decimal
    method: str
    valid_from: datetime
    valid_to: datetime
    issuer: Person
    receiver: Person
    crew: tuple[Person, ...] = ()


@dataclass(frozen=True, slots=True)
class Before:
    """The permit that another follows: as it was signed, but with its last end and receiver. `over_at`: when somebody ended, handed back or cancelled it."""

    permit: Permit
    issued_at: datetime | None = None
    accepted_at: datetime | None = None
    over_at: datetime | None = None
    why: str = ""
    changed: str = ""


@dataclass(frozen=True, slots=True)
class After:
    """A permit that follows this one, and when it was issued."""

    permit: str
    issued_at: datetime


@dataclass(frozen=True, slots=True)
class Beside:
    """Another permit of the site that somebody issued and nobody has ended: its ground, and when it runs."""

    permit: str
    outline: Polygon
    issued_at: datetime
    valid_from: datetime
    ends: datetime


@dataclass(frozen=True, slots=True)
class Dug:
    """Another emergency dig of the site, once both signed it: its ground, when it was or will be over, and when it was followed up."""

    permit: str
    outline: Polygon
    over_at: datetime
    followed_up_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Emergency:
    """Why a permit is for emergency work: what would happen without digging now, why plans cannot be waited for, and who decided.

    `rules`: the rows of the numbers of emergency work; `others`: the site's other emergency digs; `accepted_at`: when the permit was accepted, None before.
    """

    danger: str
    waiting: str
    decided_by: Person
    decided_at: datetime
    rules: tuple[Row, ...] = ()
    others: tuple[Dug, ...] = ()
    accepted_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Evidence:
    """A permit with all that it rests on. `enquiries` are all of the permit's site.

    `follows`: the permit that it follows; `followers`: the issued permits that follow it; `beside`: other permits on ground near its own.
    """

    permit: Permit
    site: Site
    rules: tuple[Row, ...] = ()
    enquiries: tuple[Enquiry, ...] = ()
    locate: Locate | None = None
    follows: Before | None = None
    followers: tuple[After, ...] = ()
    beside: tuple[Beside, ...] = ()
    owners: Terms = NO_TERMS
    emergency: Emergency | None = None
