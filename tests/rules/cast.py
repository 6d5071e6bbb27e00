"""One clear permit with everything that it rests on, for the tables of the gate's cases. Every name is invented."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from shapely.geometry import LineString, box

from locates.permits.rules.evidence import Enquiry, Evidence, Locate, Permit, Person, PlanService, Site, Sweep, Trace
from locates.rules.fitness import Calibration, Check, Instrument
from records.rules.cover import Award
from records.rules.words import PASSIVE, TECHNIQUES

AUCKLAND = "Pacific/Auckland"
DAY = "2027-03-04"
IN, OUT, UNKNOWN = "in_tolerance", "out_of_tolerance", "not_measured"

OUTLINE = box(0, 0, 10, 4)
SWEPT = box(-2, -2, 12, 6)
PEOPLE = {
    "I-1": ("Ivo Larch", {"issue_permit"}),
    "R-1": ("Rena Sorrel", {"receive_permit", "dig"}),
    "C-1": ("Cass Yarrow", {"dig"}),
    "C-2": ("Cleo Teasel", {"dig"}),
    "O-1": ("Odo Fennel", set(TECHNIQUES)),
}
KIT = {"receiver": "RX-1", "transmitter": "TX-1", "clamp": "CL-1", "sonde": "SD-1"}


def instant(text: str, zone: ZoneInfo) -> datetime:
    told = datetime.fromisoformat(text)
    return (told if told.tzinfo else told.replace(tzinfo=zone)).astimezone(UTC)


def line(*points: tuple[float, float]) -> LineString:
    return LineString(points)


def clear(zone: str = AUCKLAND, day: str = DAY) -> Evidence:
    """A machine dig that is judged at 09:00 on the day, clear until the longest permit ends a week later at 07:00; `standing` is its only caution.

    Plans of 8 days before, good through 20 days after; a locate of 2 days before, good through 12 days after; awards for 36 months from 612 days before;
    calibrations for 12 months from 154 days before; self-tests for 90 days from 3 days before.
    """
    here, today = ZoneInfo(zone), date.fromisoformat(day)

    def on(days: int) -> date:
        return today + timedelta(days=days)

    def at(days: int, time: str) -> datetime:
        return instant(f"{on(days)}T{time}", here)

    issuer, receiver, first, second, operator = (_person(name, on(-612)) for name in PEOPLE)
    site = Site("S-1", "Orchard Lane", here, "example", ("Alder Water", "Birch Power"))
    permit = Permit("D-1", "Trench for a drain", OUTLINE, Decimal("1.5"), "machine", at(0, "07:00"), at(2, "17:00"), issuer, receiver, (first, second))
    shown = {"E-1": ("Alder Water", PlanService("SV-1", "E-1", "water", False)), "E-2": ("Birch Power", PlanService("SV-2", "E-2", "electricity", True))}
    enquiries = (Enquiry(name, owner, on(-10), answered_at=at(-8, "10:00"), services=(service,)) for name, (owner, service) in shown.items())
    checked = {"": ("before_use", at(-2, "07:30")), "-self": ("self_test", at(-3, "08:00"))}
    kit = {kind: _instrument(kind, name, on(-154), checked) for kind, name in KIT.items()}
    locate = Locate("L-1", "S-1", operator, started_at=at(-2, "08:00"), finished_at=at(-2, "11:00"), sweeps=_sweeps(), traces=_traces(), **kit)
    return Evidence(permit, site, (), tuple(enquiries), locate)


def _person(name: str, awarded_on: date) -> Person:
    printed, things = PEOPLE[name]
    return Person(name, printed, None, (Award(f"A-{name}", frozenset(things), awarded_on, 36),))


def _instrument(kind: str, name: str, calibrated_on: date, checked: dict[str, tuple[str, datetime]]) -> Instrument:
    checks = tuple(Check(f"H-{name}{end}", what, when, "pass") for end, (what, when) in checked.items())
    return Instrument(name, kind, f"SN-{name}", "", 12, 90, calibrations=(Calibration(f"K-{name}", calibrated_on, None, IN, IN),), checks=checks)


def _sweeps() -> tuple[Sweep, ...]:
    passive = (Sweep(f"W-{technique}-{bearing}", technique, SWEPT, Decimal(bearing)) for technique in PASSIVE for bearing in (0, 90))
    return (*passive, Sweep("W-induction", "induction", SWEPT, transmitter_offset_m=Decimal("5")))


def _traces() -> tuple[Trace, ...]:
    return (
        Trace("T-1", "water", "sonde", line((7, -9), (7, 9)), "B", Decimal("0.1"), services=("SV-1",)),
        Trace("T-2", "electricity", "induction", line((3, -9), (3, 9)), "B", None, Decimal("1"), Decimal("0.5"), Decimal("1.5"), ("SV-2",)),
    )
