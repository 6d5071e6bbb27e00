"""Cautions on what was traced and swept, and on the numbers in force."""

from collections.abc import Iterable, Iterator

from locates.permits.rules.evidence import Sweep, Trace
from locates.permits.rules.frame import Frame
from locates.permits.rules.window import PERMIT
from locates.rules import depth
from records.rules.dates import day_start
from records.rules.numbers import EVERY_NUMBER, InForce, Row
from records.rules.verdict import Finding
from records.rules.words import PASSIVE

NARROW = ("electricity", "telecom")
STANDING = (
    "This verdict is no proof that the ground holds nothing: services may be there that were not detected.",
    "Take every service as live, and put local law, the owner's own rules and licensed practice first.",
)


def trace_cautions(frame: Frame) -> Iterator[Finding]:
    by = depth.limits(frame.numbers)
    for trace in frame.locate.traces if frame.locate else ():
        for code, told, remedy in (*_depth(trace, by), *_trace(trace)):
            yield Finding(code, f"trace:{trace.trace}", f"Trace {trace.trace} {told}.", remedy)


Said = tuple[str, str, str]


def _depth(trace: Trace, by: depth.Limits) -> Iterator[Said]:
    """Every caution on a depth; none of them says it."""
    against = depth.doubts(trace, by)
    if depth.FROM_PASSIVE in against:
        yield "depth.from_passive", "bears a depth, and a passive technique gives none", "Do not use the depth; it is not printed."
    if depth.NOT_CHECKED in against:
        yield "depth.not_checked", "bears a depth without a raised reading", "Raise the receiver and read the depth again."
    if depth.DISAGREES in against:
        off = depth.raised_reading_off_by(trace.depth_m, trace.raised_by_m, trace.raised_depth_m)
        yield "depth.disagrees", f"read {off} m off when the receiver was raised: depth not to be relied on", "Expose it to know its depth."
    if depth.TOO_DEEP in against:
        told = f"was read by induction to lie deeper than {by.induction_m} m, where induction is not trusted: depth not to be relied on"
        yield "depth.induction_deep", told, "Trace it by direct connection or clamp."


def _trace(trace: Trace) -> Iterator[Said]:
    if not trace.services:
        yield "trace.unplanned", "names no service of the plans", "Find out whose it is, and report it to the owners."
    elif trace.technique in PASSIVE:
        yield "trace.passive_only", "names a service, but was made by a passive technique", "Trace it with the transmitter's signal."
    if trace.width_m is None and trace.utility not in NARROW:
        yield "trace.no_width", "has no width recorded", "Find out the pipe's width: its edge may be nearer than the line."


def sweep_cautions(frame: Frame) -> Iterator[Finding]:
    least = frame.numbers.number("transmitter_min_offset_m")
    for sweep in frame.locate.sweeps if frame.locate else ():
        if sweep.technique == "induction" and (sweep.transmitter_offset_m is None or sweep.transmitter_offset_m < least):
            told = f"The induction sweep {sweep.sweep} {_offset(sweep)}, and does not count: {least} m is the least."
            yield Finding("sweep.too_near", f"sweep:{sweep.sweep}", told, "Begin the search farther from the transmitter, and record the distance.")


def _offset(sweep: Sweep) -> str:
    if sweep.transmitter_offset_m is None:
        return "has no distance from the transmitter recorded"
    return f"began {sweep.transmitter_offset_m} m from the transmitter"


def _means(key: str) -> str:
    meaning = EVERY_NUMBER[key].meaning
    return meaning[0].upper() + meaning[1:]


def rule_cautions(frame: Frame) -> Iterator[Finding]:
    yield from _numbers_said(frame, frame.numbers, frame.evidence.rules)
    if frame.evidence.emergency is not None:
        yield from _numbers_said(frame, frame.emergency_numbers, frame.evidence.emergency.rules)
    yield Finding("standing", PERMIT, *STANDING)


def _numbers_said(frame: Frame, numbers: InForce, rows: Iterable[Row]) -> Iterator[Finding]:
    for key in numbers.looser():
        told = f"{_means(key)}: {numbers.text(key)} is in force, looser than the default {EVERY_NUMBER[key].default}."
        yield Finding("rules.looser", f"rule:{key}", told, "Be sure that the source given for it allows it here.")
    for row in sorted(rows, key=lambda row: (row.key, row.effective_from)):
        if row.effective_from > frame.today and day_start(row.effective_from, frame.zone) < frame.permit.valid_to:
            told = f"{_means(row.key)}: {row.value} takes effect on {frame.says(row.effective_from)}, before the permit ends."
            yield Finding("rules.change_ahead", f"rule:{row.key}", told, "Check the permit against it, or end the permit before that day.")
