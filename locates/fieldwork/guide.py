"""The page of a locate under way: every step with what it still lacks, and the forms that give it."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from locates.fieldwork import facts, offering
from locates.fieldwork import forms as f
from locates.fieldwork.models import FieldSheet
from locates.fieldwork.offering import Bound, handed_back
from locates.fieldwork.rules import steps as s
from locates.fieldwork.rules.offers import points
from locates.fieldwork.rules.tally import tally
from locates.fieldwork.rules.underway import Sheet
from locates.grids.models import Grid
from locates.instruments.forms import CheckForm
from locates.permits.rules.depths import depth_says
from locates.permits.rules.evidence import Sweep, Trace
from locates.permits.rules.frame import Frame, framed
from locates.rules.depth import NO_PROOF
from locates.rules.fitness import Instrument
from records.files import facts as files
from records.firm.models import Person
from records.rules.dates import instant_says
from records.rules.says import away
from records.rules.words import INSTRUMENT_KINDS, PASSIVE, spoken

# at which step each piece is handed in; of sweeps and lines their places tell
STEPS_OF = {
    "dig": s.DIG,
    "plans": s.PLANS,
    "kit": s.KIT,
    "check": s.KIT,
    "trace": s.SERVICES,
    "outcome": s.SERVICES,
    "marks": s.MARKS,
    "photo": s.PHOTOGRAPHS,
    "finish": s.SIGN,
}


@dataclass(frozen=True, slots=True)
class Tool:
    """An instrument of the locate, and the last check of it that counts."""

    kind: str
    name: str
    checked: str
    passed: bool


@dataclass(frozen=True, slots=True)
class Entry:
    """Something that is recorded already, in words, and what takes it out again."""

    kind: str
    key: str
    words: str
    told: str = ""


def page(row: FieldSheet, person: Person, at: datetime, bound: Bound | None = None, *, begun: bool = True) -> dict[str, Any]:
    """Everything that the page shows."""
    evidence, sheet = facts.gathered(row, at)
    frame, zone = framed(evidence, at), facts.zone_of(row)
    every = s.steps(evidence, sheet, at)
    lacking = s.missing(every)
    return {
        "sheet": row,
        "locate": row.locate,
        "own": row.locate.operator_id == person.pk,
        "begun": begun,
        "begun_says": f"{instant_says(row.locate.started_at, zone)}, {away(row.locate.started_at, at, zone)}" if begun else "",
        "steps": {step.name: step for step in every},
        "in_order": every,
        "lacking": lacking,
        "current": _step_of(bound) or s.current(every),
        "tally": tally(frame) if sheet.outline is not None else None,
        "seen": offering.seen_parts(row),
        "on_earth": Grid.objects.filter(site=row.locate.site_id).exists(),
        **_kit(row, frame, bound, zone),
        **_dig(row, frame, bound),
        **_ground(row, sheet, frame, bound),
        **_found(row, frame, bound),
        **_end(row, person, lacking, bound),
    }


def _step_of(bound: Bound | None) -> str:
    """The step at which a form that is not right stands."""
    if bound is None:
        return ""
    if bound.what == "sweep":
        return bound.place.removeprefix("sweep-")
    return s.TRACES if bound.place == "trace-new" else STEPS_OF.get(bound.what, "")


def _kit(row: FieldSheet, frame: Frame, bound: Bound | None, zone: ZoneInfo) -> dict[str, Any]:
    tools = [_tool(kind, getattr(frame.locate, kind), frame, zone) for kind in INSTRUMENT_KINDS if getattr(frame.locate, kind)]
    check = bound.form if bound is not None and bound.what == "check" else CheckForm()
    return {"tools": tools, "kit": handed_back(bound, "kit", "", offering.kit_form(row, frame.at)), "check": check}


def _tool(kind: str, one: Instrument, frame: Frame, zone: ZoneInfo) -> Tool:
    made = [check for check in one.checks if check.kind == "before_use" and check.checked_at <= frame.at]
    last = max(made, key=lambda check: check.order, default=None)
    if last is None:
        return Tool(kind, one.instrument, "never checked before use", False)
    counts = s.counts(frame, last)  # one that was made earlier than that, or after the search began, says nothing of it
    how = "FAILED" if last.failed else "passed" if counts else "not checked for this locate; passed"
    return Tool(kind, one.instrument, f"{how} {instant_says(last.checked_at, zone)}, {away(last.checked_at, frame.at, zone)}", counts and not last.failed)


def _dig(row: FieldSheet, frame: Frame, bound: Bound | None) -> dict[str, Any]:
    offered = offering.plan_choices(frame)
    shown = {one.enquiry: [(service.service, spoken(service.utility), service.conductive) for service in one.services] for one in frame.good_answers}
    seen = list(row.plans_seen.values_list("pk", flat=True)) if row.locate.pk else []
    plans = [(key, words, shown.get(key, []), files.of("enquiry", key)) for key, words in offered]
    return {
        "dig": handed_back(bound, "dig", "", f.DigForm(place="dig", initial=f.as_typed(row))),
        "plans": plans,
        "plans_form": handed_back(bound, "plans", "", f.PlansForm(offered, place="plans", initial={"plans_seen": seen})),
        "plans_seen": seen,
        "waiting": [one for one in frame.live if not frame.answered(one)],
    }


def _ground(row: FieldSheet, sheet: Sheet, frame: Frame, bound: Bound | None) -> dict[str, Any]:
    forms = {name: handed_back(bound, "sweep", f"sweep-{name}", offering.sweep_form(name, sheet, frame)) for name in PASSIVE}
    active = "direct_connection"
    forms["active"] = handed_back(bound, "sweep", "sweep-active", offering.sweep_form(active, sheet, frame))
    entries = [Entry("sweep", one.sweep, _sweep_says(one), one.technique) for one in frame.locate.sweeps]
    return {
        "sweep_forms": forms,
        "swept": {name: [one for one in entries if one.told == name] for name in PASSIVE} | {"active": [one for one in entries if one.told not in PASSIVE]},
        "points": {name: points(frame, name) for name in PASSIVE},
    }


def _sweep_says(one: Sweep) -> str:
    way = f" walked at {one.bearing_deg.normalize():f}°" if one.bearing_deg is not None else " with no direction told"
    offset = f", begun {one.transmitter_offset_m.normalize():f} m from the transmitter" if one.transmitter_offset_m is not None else ""
    return f"{one.sweep}: {spoken(one.technique)}, {one.area.area:.1f} m²{way}{offset}"


def _found(row: FieldSheet, frame: Frame, bound: Bound | None) -> dict[str, Any]:
    every = offering.services_at(row)
    unplanned = f.TraceForm(every, frame.scheme.short, place="trace-new", initial={"utility": "unknown", "technique": "passive_power", "quality_level": "C"})
    outcomes = list(row.locate.outcomes.order_by("service")) if row.locate.pk else []
    return {
        "owed": offering.owed(row, frame, every, bound),
        "traces": [Entry("trace", one.trace, _trace_says(one, frame), depth_says(frame.evidence, one, frame.at)) for one in frame.locate.traces],
        "outcomes": [Entry("outcome", str(one.pk), f"{one.service_id}: {spoken(one.outcome)}", one.note) for one in outcomes],
        "no_proof": NO_PROOF,
        "unplanned": handed_back(bound, "trace", "trace-new", unplanned),
    }


def _trace_says(one: Trace, frame: Frame) -> str:
    names = f", for {', '.join(one.services)}" if one.services else ", which no plan shows"
    return f"{one.trace}: {spoken(one.utility)} by {spoken(one.technique)}, quality level {frame.scheme.level(one.quality_level)}{names}"


def _end(row: FieldSheet, person: Person, lacking: list[str], bound: Bound | None) -> dict[str, Any]:
    marks = f.MarksForm(place="marks", initial={"marks": list(row.marks), "marks_note": row.marks_note})
    photographs = [one for one in files.of("locate", row.locate.pk) if one.what == "photograph" and one.struck_at is None] if row.locate.pk else []
    return {
        "marks": handed_back(bound, "marks", "", marks),
        "photo": handed_back(bound, "photo", "", f.PhotographForm(place="photo")),
        "photographs": photographs,
        "finish": handed_back(bound, "finish", "", f.FinishForm(person, lacking=bool(lacking))),
    }
