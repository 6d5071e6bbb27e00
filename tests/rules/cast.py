"""One clear permit with everything that it rests on, and small changes to it, for the tables of the gate's cases. Every name is invented.

Times are the site's own unless they bear an offset. A change refuses an identifier that the permit's evidence does not hold.
"""

from collections.abc import Callable, Iterable
from dataclasses import fields, replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from shapely.geometry import LineString, box

from locates.permits.rules.evidence import Enquiry, Evidence, Locate, Outcome, Permit, Person, PlanService, Site, Sweep, Trace
from locates.rules.fitness import Calibration, Check, Instrument
from records.rules.cover import Award
from records.rules.numbers import Row
from records.rules.words import PASSIVE, TECHNIQUES

Change = Callable[[Evidence], Evidence]

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


# the clear permit


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
    checks = tuple(Check(f"H-{name}{end}", what, when, "pass", "O-1") for end, (what, when) in checked.items())
    return Instrument(name, kind, f"SN-{name}", "", 12, 90, calibrations=(Calibration(f"K-{name}", calibrated_on, None, IN, IN),), checks=checks)


def _sweeps() -> tuple[Sweep, ...]:
    passive = (Sweep(f"W-{technique}-{bearing}", technique, SWEPT, Decimal(bearing)) for technique in PASSIVE for bearing in (0, 90))
    return (*passive, Sweep("W-induction", "induction", SWEPT, transmitter_offset_m=Decimal("5")))


def _traces() -> tuple[Trace, ...]:
    return (
        Trace("T-1", "water", "sonde", line((7, -9), (7, 9)), "B", Decimal("0.1"), services=("SV-1",)),
        Trace("T-2", "electricity", "induction", line((3, -9), (3, 9)), "B", None, Decimal("1"), Decimal("0.5"), Decimal("1.5"), ("SV-2",)),
    )


# changes

INSTANTS = {"valid_from", "valid_to", "answered_at", "started_at", "finished_at", "checked_at"}
DATES = {"left_on", "awarded_on", "expires_on", "withdrawn_on", "sent_on", "good_through", "closed_on", "calibrated_on", "due_on"}
DATES |= {"out_of_service_from", "hired_until", "effective_from"}


def _fit(evidence: Evidence, name: str, value: Any) -> Any:
    """Text as the field's own kind."""
    if not isinstance(value, str):
        return value
    if name in INSTANTS:
        return instant(value, evidence.site.zone)
    if name in DATES:
        return date.fromisoformat(value)
    return Decimal(value) if name.endswith(("_m", "_deg")) else value


def _fitted(evidence: Evidence, changes: dict[str, Any]) -> dict[str, Any]:
    return {name: _fit(evidence, name, value) for name, value in changes.items()}


def _swapped(items: Iterable[Any], name: str, change: Callable[[Any], Any]) -> tuple[Any, ...]:
    """The items, with the one whose identifier (its first field) is `name` changed."""
    items = tuple(items)
    hit = [item for item in items if getattr(item, fields(item)[0].name) == name]
    if not hit:
        raise KeyError(name)
    return tuple(change(item) if item in hit else item for item in items)


def together(*changes: Change) -> Change:
    def change(evidence: Evidence) -> Evidence:
        for one in changes:
            evidence = one(evidence)
        return evidence

    return change


def with_permit(**changes: Any) -> Change:
    return lambda all_: replace(all_, permit=replace(all_.permit, **_fitted(all_, changes)))


def with_roles(**roles: str | tuple[str, ...]) -> Change:
    """The permit's issuer, receiver or crew changed to others on it, by name."""

    def change(all_: Evidence) -> Evidence:
        permit = all_.permit
        people = {one.person: one for one in (permit.issuer, permit.receiver, *permit.crew)}
        found = {role: people[who] if isinstance(who, str) else tuple(people[one] for one in who) for role, who in roles.items()}
        return replace(all_, permit=replace(permit, **found))

    return change


def with_site(**changes: Any) -> Change:
    return lambda all_: replace(all_, site=replace(all_.site, **changes))


def with_rule(key: str, value: str, effective_from: str = "1900-01-01") -> Change:
    return lambda all_: replace(all_, rules=(*all_.rules, Row(key, date.fromisoformat(effective_from), value)))


def with_locate(**changes: Any) -> Change:
    return lambda all_: replace(all_, locate=replace(all_.locate, **_fitted(all_, changes)))


def without_locate() -> Change:
    return lambda all_: replace(all_, locate=None)


def _in_locate(part: str, name: str, changes: dict[str, Any]) -> Change:
    def change(all_: Evidence) -> Evidence:
        fitted = _fitted(all_, changes)
        return replace(all_, locate=replace(all_.locate, **{part: _swapped(getattr(all_.locate, part), name, lambda one: replace(one, **fitted))}))

    return change


def with_sweep(name: str, /, **changes: Any) -> Change:
    return _in_locate("sweeps", name, changes)


def with_trace(name: str, /, **changes: Any) -> Change:
    return _in_locate("traces", name, changes)


def _more(part: str, *items: Any) -> Change:
    return lambda all_: replace(all_, locate=replace(all_.locate, **{part: (*getattr(all_.locate, part), *items)}))


def and_sweep(name: str, technique: str, **changes: Any) -> Change:
    return together(_more("sweeps", Sweep(name, technique, SWEPT)), with_sweep(name, **changes))


def and_trace(name: str, technique: str, along: LineString, **changes: Any) -> Change:
    level = "A" if technique == "exposed" else "C"
    return together(_more("traces", Trace(name, "electricity", technique, along, level)), with_trace(name, **changes))


def and_outcome(service: str, outcome: str) -> Change:
    return _more("outcomes", Outcome(service, outcome, "by word of the owner"))


def without(part: str, *names: str) -> Change:
    """Without these of the locate's sweeps, traces or outcomes; without any where none is named."""

    def change(all_: Evidence) -> Evidence:
        items = getattr(all_.locate, part)
        left = tuple(one for one in items if names and getattr(one, fields(one)[0].name) not in names)
        if names and len(left) != len(items) - len(names):
            raise KeyError(names)
        return replace(all_, locate=replace(all_.locate, **{part: left}))

    return change


def with_enquiry(name: str, /, **changes: Any) -> Change:
    return lambda all_: replace(all_, enquiries=_swapped(all_.enquiries, name, lambda one: replace(one, **_fitted(all_, changes))))


def and_enquiry(name: str, owner: str, **changes: Any) -> Change:
    """One more enquiry, of 22 February, not answered unless the changes say so."""

    def change(all_: Evidence) -> Evidence:
        return replace(all_, enquiries=(*all_.enquiries, replace(Enquiry(name, owner, date(2027, 2, 22)), **_fitted(all_, changes))))

    return change


def without_enquiries(*names: str) -> Change:
    """Without these; without any where none is named."""
    return lambda all_: replace(all_, enquiries=tuple(one for one in all_.enquiries if names and one.enquiry not in names))


def services(enquiry: str, *names: str, same_as: tuple[str, ...] = (), utility: str = "water", conductive: bool = False) -> tuple[PlanService, ...]:
    return tuple(PlanService(name, enquiry, utility, conductive, same_as) for name in names)


def with_person(name: str, /, **changes: Any) -> Change:
    def change(all_: Evidence) -> Evidence:
        fitted = _fitted(all_, changes)
        return _people(all_, lambda one: replace(one, **fitted) if one.person == name else one)

    return change


def with_award(person: str, award: str = "", /, **changes: Any) -> Change:
    """The person's first award, or the one named, changed."""

    def change(all_: Evidence) -> Evidence:
        fitted = _fitted(all_, changes)

        def mend(one: Person) -> Person:
            if one.person != person:
                return one
            return replace(one, awards=_swapped(one.awards, award or one.awards[0].award, lambda held: replace(held, **fitted)))

        return _people(all_, mend)

    return change


def and_award(person: str, award: str, awarded_on: str, *things: str, months: int | None = 36) -> Change:
    made = Award(award, frozenset(things), date.fromisoformat(awarded_on), months)
    return lambda all_: _people(all_, lambda one: replace(one, awards=(*one.awards, made)) if one.person == person else one)


def _people(all_: Evidence, mend: Callable[[Person], Person]) -> Evidence:
    permit = all_.permit
    permit = replace(permit, issuer=mend(permit.issuer), receiver=mend(permit.receiver), crew=tuple(mend(one) for one in permit.crew))
    return replace(all_, permit=permit, locate=all_.locate and replace(all_.locate, operator=mend(all_.locate.operator)))


def _kit(name: str, mend: Callable[[Evidence, Instrument], Instrument]) -> Change:
    def change(all_: Evidence) -> Evidence:
        kinds = [kind for kind in KIT if getattr(all_.locate, kind) and getattr(all_.locate, kind).instrument == name]
        (kind,) = kinds
        return replace(all_, locate=replace(all_.locate, **{kind: mend(all_, getattr(all_.locate, kind))}))

    return change


def with_instrument(name: str, /, **changes: Any) -> Change:
    return _kit(name, lambda all_, one: replace(one, **_fitted(all_, changes)))


def with_calibration(instrument: str, /, **changes: Any) -> Change:
    """The instrument's only calibration, changed."""
    return _kit(
        instrument,
        lambda all_, one: replace(one, calibrations=_swapped(one.calibrations, f"K-{instrument}", lambda made: replace(made, **_fitted(all_, changes)))),
    )


def and_calibration(instrument: str, name: str, calibrated_on: str, as_found: str = IN, as_left: str = IN) -> Change:
    made = Calibration(name, date.fromisoformat(calibrated_on), None, as_found, as_left)
    return _kit(instrument, lambda _, one: replace(one, calibrations=(*one.calibrations, made)))


def with_check(instrument: str, name: str, **changes: Any) -> Change:
    return _kit(instrument, lambda all_, one: replace(one, checks=_swapped(one.checks, name, lambda made: replace(made, **_fitted(all_, changes)))))


def and_check(instrument: str, name: str, checked_at: str, result: str, kind: str = "before_use") -> Change:
    return _kit(instrument, lambda all_, one: replace(one, checks=(*one.checks, Check(name, kind, instant(checked_at, all_.site.zone), result, "O-1"))))
