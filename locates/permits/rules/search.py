"""The locate: of this site, finished, still good, swept in both passive modes and both directions, and each service of the plans accounted for."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta

from shapely.geometry.base import BaseGeometry

from locates.permits.rules.evidence import Locate, PlanService, Sweep, Trace
from locates.permits.rules.frame import Frame
from locates.permits.rules.plans import said
from locates.permits.rules.window import PERMIT, inner
from locates.rules.ground import covers, crossed, length_within, lies_in, line_covered, meet, united
from records.rules.verdict import Condition, Finding
from records.rules.words import EXPOSED, PASSIVE, spoken

CONDUCTIVE_BY = ("induction", "direct_connection", "clamp", EXPOSED)
NOT_CONDUCTIVE_BY = ("sonde", EXPOSED)
UNBELIEVED_BY = ("machine", "bore")


def blocks(frame: Frame, every: list["Account"]) -> Iterator[Finding]:
    if frame.locate is None:
        yield Finding("locate.none", PERMIT, "The permit names no locate.", "Have the ground located, and name the locate on the permit.")
        return
    yield from _itself(frame, frame.locate)
    for technique in PASSIVE:
        yield from _swept(frame, technique)
    for account in every:
        if account.block is not None:
            yield account.block


def _itself(frame: Frame, locate: Locate) -> Iterator[Finding]:
    subject, says = f"locate:{locate.locate}", frame.says
    if locate.site != frame.evidence.site.site:
        told = f"Locate {locate.locate} is of the site {locate.site}, not of {frame.evidence.site.site}."
        yield Finding("locate.other_site", subject, told, "Name a locate of this site.")
    span = frame.locate_span
    if span is None:
        told = f"Locate {locate.locate} by {locate.operator.name}, begun on {says(locate.started_at)}, is not finished."
        yield Finding("locate.unfinished", subject, told, "Finish the locate and record when.")
    elif not span.holds(frame.at):
        told = f"Locate {locate.locate} of {says(frame.finished_at)} was good through {frame.last_day(span.ends)}."
        yield Finding("locate.lapsed", subject, told, "Locate again.", span.ends)
    hours = frame.numbers.whole("locate_max_hours")
    if frame.locate_ends - locate.started_at > timedelta(hours=hours):
        told = f"Locate {locate.locate} runs from {says(locate.started_at)} to {says(frame.locate_ends)}, longer than the {hours} hours allowed."
        yield Finding("locate.too_long", subject, told, "Locate again, within that time.")


def _swept(frame: Frame, technique: str) -> Iterator[Finding]:
    sweeps = sweeps_by(frame, technique)
    subject, name, margin = f"technique:{technique}", spoken(technique), frame.numbers.text("sweep_margin_m")
    if not sweeps:
        yield Finding("locate.not_swept", subject, f"The ground was not swept by {name}.", f"Sweep the outline and {margin} m around it by {name}{frame.anew}.")
        return
    if not covers(swept(sweeps), frame.needed):
        told = f"The sweeps by {name} do not cover the outline and the {margin} m around it."
        yield Finding("locate.not_swept", subject, told, f"Sweep the ground left out by {name}{frame.anew}.")
    if frame.numbers.yes("two_directions") and not covers(crossed([(one.bearing_deg, one.area) for one in sweeps]), frame.needed):
        told = f"Not all of the ground was swept by {name} in two directions that cross by 60° or more."
        yield Finding("locate.one_direction", subject, told, f"Sweep by {name} again across the first direction, and record both bearings{frame.anew}.")


def sweeps_by(frame: Frame, technique: str) -> list[Sweep]:
    return [one for one in frame.locate.sweeps if one.technique == technique] if frame.locate else []


def swept(sweeps: list[Sweep]) -> BaseGeometry:
    return united(one.area for one in sweeps)


@dataclass(frozen=True, slots=True)
class Account:
    """How one service of the plans is accounted for: by the traces that vouch for it, by word alone, by a condition, or not (a block)."""

    service: PlanService
    vouching: tuple[Trace, ...] = ()
    by_word: bool = False
    condition: Condition | None = None
    block: Finding | None = None


def accounts(frame: Frame) -> list[Account]:
    """Each service to account for, with how it is; none where there is no locate."""
    if frame.locate is None:
        return []
    induction = reach_of_induction(frame)
    return [_account(frame, service, induction) for service in frame.services]


def reach_of_induction(frame: Frame) -> BaseGeometry:
    """The ground of the induction sweeps that count: offset recorded, and not too near to the transmitter."""
    least = frame.numbers.number("transmitter_min_offset_m")
    counting = [one for one in sweeps_by(frame, "induction") if one.transmitter_offset_m is not None and one.transmitter_offset_m >= least]
    return swept(counting)


def _account(frame: Frame, service: PlanService, induction: BaseGeometry) -> Account:
    same = frame.same[service.service]
    naming = [trace for trace in frame.locate.traces if same & set(trace.services)]
    vouching = tuple(trace for trace in naming if why_not(frame, service, trace, induction) is None)
    outcomes = {one.outcome for one in frame.locate.outcomes if one.service in same}
    if vouching:
        return Account(service, vouching)
    if "outside_dig" in outcomes and not any(meet(trace.line, frame.needed) for trace in naming):
        return Account(service, by_word=True)
    if "not_found" in outcomes:
        return _not_found(frame, service)
    if naming:
        return Account(service, block=_wrong(frame, service, min(naming, key=lambda trace: trace.trace), induction))
    told = f"{said(service)} on the plans is named by no trace and no outcome of locate {frame.locate.locate}."
    remedy = f"Trace it, expose it, or record why it is not in this dig{frame.anew}."
    return Account(service, block=Finding("service.unaccounted", _subject(service), told, remedy))


def _subject(service: PlanService) -> str:
    return f"service:{service.service}"


def _not_found(frame: Frame, service: PlanService) -> Account:
    told = f"{said(service)} on the plans was not found."
    if frame.permit.method in UNBELIEVED_BY:
        remedy = f"Dig by hand or vacuum, or trace or expose it{frame.anew}."
        return Account(service, block=Finding("service.not_found", _subject(service), told, remedy))
    keep = f"{said(service)} on the plans was not found: take it as live and anywhere in this dig, and go by hand or vacuum alone until it is exposed."
    return Account(service, condition=Condition("treat_as_live", _subject(service), keep))


def _wrong(frame: Frame, service: PlanService, trace: Trace, induction: BaseGeometry) -> Finding:
    told = f"Trace {trace.trace} does not vouch for {inner(said(service))}: {why_not(frame, service, trace, induction)}."
    return Finding("service.wrong_technique", _subject(service), told, f"Trace it by a technique that can find it there, or expose it{frame.anew}.")


def why_not(frame: Frame, service: PlanService, trace: Trace, induction: BaseGeometry) -> str | None:
    """Why a trace that names the service does not vouch for it: the first that fails of the technique, the place, the depth, the sweep; None where it does."""
    able = CONDUCTIVE_BY if service.conductive else NOT_CONDUCTIVE_BY
    if trace.technique not in able:
        kind = "conducts" if service.conductive else "does not conduct"
        return f"{spoken(trace.technique)} cannot vouch for what {kind}"
    if trace.technique == EXPOSED:
        return None if meet(trace.line, frame.needed) else "it was exposed outside the needed ground"
    if not lies_in(trace.line, frame.needed):
        return "less than 0.5 m of it lies in the needed ground"
    return _why_not_induced(frame, trace, induction) if trace.technique == "induction" else None


def _why_not_induced(frame: Frame, trace: Trace, induction: BaseGeometry) -> str | None:
    deepest = frame.numbers.number("induction_max_depth_m")
    if trace.depth_m is None:
        return "it was traced by induction without a depth"
    if trace.depth_m > deepest:
        return f"it was traced by induction and read deeper than {deepest} m"
    if not line_covered(trace.line, frame.needed, induction):
        return "the induction sweeps begun far enough from the transmitter do not cover its line"
    return None


def conditions(every: list[Account]) -> Iterator[Condition]:
    for account in every:
        if account.condition is not None:
            yield account.condition


def cautions(frame: Frame, every: list[Account]) -> Iterator[Finding]:
    for account in every:
        if account.by_word:
            told = f"{said(account.service)} is accounted for by word alone: recorded as outside this dig."
            yield Finding("service.by_word", _subject(account.service), told, "Be sure on the ground that it is outside.")
    if frame.permit.method in UNBELIEVED_BY:
        for account in every:
            yield from _exposed_in_part(frame, account)


def _exposed_in_part(frame: Frame, account: Account) -> Iterator[Finding]:
    alone = account.vouching[0] if len(account.vouching) == 1 else None
    if alone is not None and alone.technique == EXPOSED and not lies_in(alone.line, frame.needed):
        length = length_within(alone.line, frame.needed)
        told = f"Trace {alone.trace} exposes {inner(said(account.service))} for {length:.2f} m only; beyond the hole it is known at one point only."
        yield Finding("clearance.exposed_in_part", f"trace:{alone.trace}", told, "Expose more of it along the dig before machine or bore comes near.")
