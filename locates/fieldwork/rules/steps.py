"""The steps of a locate in the order in which the work is done: what each still lacks by the gate's own judgement, and why it matters."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from locates.fieldwork.rules.underway import Sheet
from locates.permits.rules.evidence import Evidence
from locates.permits.rules.frame import Frame, framed
from locates.permits.rules.gate import assess
from locates.permits.rules.search import accounts
from locates.rules.fitness import Check
from records.rules.verdict import Finding
from records.rules.words import EXPOSED, INSTRUMENT_KINDS, PASSIVE, TECHNIQUES

DIG, PLANS, KIT, POWER, RADIO, ACTIVE, SERVICES, TRACES, MARKS, PHOTOGRAPHS, SIGN = NAMES = (
    "dig",
    "plans",
    "kit",
    "passive_power",
    "passive_radio",
    "active",
    "services",
    "traces",
    "marks",
    "photographs",
    "sign",
)
TITLES = {
    DIG: "Where the dig will be",
    PLANS: "The owners’ plans",
    KIT: "The instruments",
    POWER: "Sweep: passive power",
    RADIO: "Sweep: passive radio",
    ACTIVE: "Sweep and trace: active",
    TRACES: "What was traced",
    MARKS: "Marks on the ground",
    SERVICES: "Every service of the plans",
    PHOTOGRAPHS: "Photographs",
    SIGN: "Finish and sign",
}
# common practice, no published source, where none is named
WHY = {
    DIG: "The ground to search follows from it: the outline and a margin around it.",
    PLANS: "What the owners know decides which techniques can find it. Plans are read before the first sweep, and kept at hand.",
    KIT: "An instrument that was not checked today may be deaf, and nobody would see it from its readings.",
    POWER: "It finds cables under load; one that is switched off or balanced stays silent. Both directions, for a line along the walk gives little.",
    RADIO: "It finds long metal lines that carry broadcast signals, also those without load. Each of the two misses what the other finds: both, always.",
    ACTIVE: "Only a signal of one’s own tells which line is which, and finds what carries nothing by itself.",
    TRACES: "A depth read from the surface is never proof; a neighbouring line can pull position and depth, and the raised reading still agree.",
    MARKS: "The crew sees the marks, not this screen.",
    SERVICES: "What a plan shows is there until it is found, exposed, or shown to be elsewhere.",
    PHOTOGRAPHS: "Marks wash off. A photograph shows years later what was marked.",
    SIGN: "Finished, the locate no longer changes: it is what permits rest on.",
}
ENTERED_AS = {"plans": PLANS, "operator": KIT, "instrument": KIT, "service": SERVICES, "sweep": ACTIVE, "depth": TRACES, "trace": TRACES}
OF_A_SWEEP = ("locate.not_swept", "locate.one_direction")
OF_THE_GROUND = (*OF_A_SWEEP, "plans.other_ground", "plans.after_locate", "plans.not_entered")  # nothing is said of it before there is an outline
SIGNING = ("locate.too_long", "locate.other_site")
ACTIVELY = tuple(one for one in TECHNIQUES if one not in PASSIVE)


@dataclass(frozen=True, slots=True)
class Step:
    """`missing`: what a permit that rests on the locate would be blocked for, or the sheet lacks. `mind`: cautions, which keep nothing back.

    `beyond`: what blocks it too and is not for the operator to mend, such as an owner who has not answered. `begun`: something is recorded in it.
    """

    name: str
    missing: tuple[str, ...]
    beyond: tuple[str, ...]
    mind: tuple[str, ...]
    begun: bool

    @property
    def title(self) -> str:
        return TITLES[self.name]

    @property
    def why(self) -> str:
        return WHY[self.name]

    @property
    def done(self) -> bool:
        return self.begun and not self.missing

    @property
    def word(self) -> str:
        if self.missing:
            return "open"
        return "done" if self.begun else "nothing yet"


def steps(evidence: Evidence, sheet: Sheet, at: datetime) -> list[Step]:
    """All steps as they stand at the instant. `evidence` is that of the stand-in permit, with the locate as it is so far."""
    verdict, frame, outlined = assess(evidence, at), framed(evidence, at), sheet.outline is not None
    beyond = _sorted_to_steps((one for one in verdict.blocks if _beyond(one)), outlined)
    lacking = _sorted_to_steps((one for one in verdict.blocks if not _beyond(one)), outlined)
    minding = _sorted_to_steps(verdict.cautions, outlined)
    for name, says in _of_the_sheet(frame, sheet):
        lacking.setdefault(name, []).append(says)
    empty = _empty(frame, sheet) | ({SIGN} if lacking else set())
    return [Step(one, *(tuple(found.get(one, ())) for found in (lacking, beyond, minding)), one not in empty) for one in NAMES]


def _beyond(one: Finding) -> bool:
    return one.code.startswith("plans.")


def _used(frame: Frame) -> set[str]:
    return {one.technique for one in (*frame.locate.sweeps, *frame.locate.traces)}


def _empty(frame: Frame, sheet: Sheet) -> set[str]:
    """The steps in which nothing is recorded though nothing need be."""
    recorded = {ACTIVE: _used(frame) & {*ACTIVELY, EXPOSED}, TRACES: frame.locate.traces, MARKS: sheet.marks, PHOTOGRAPHS: sheet.photographs}
    return {name for name, found in recorded.items() if not found}


def current(every: Iterable[Step]) -> str:
    """The step that comes next: the first that lacks something, else the signature."""
    return next((step.name for step in every if step.missing), SIGN)


def missing(every: Iterable[Step]) -> list[str]:
    """All that is missing, in the order of the steps."""
    return [says for step in every for says in step.missing]


def _sorted_to_steps(findings: Iterable[Finding], outlined: bool) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for one in findings:
        if (name := _step_of(one)) and (outlined or not one.code.startswith((*OF_THE_GROUND, "service."))):
            found.setdefault(name, []).append(one.says)
    return found


def _step_of(one: Finding) -> str | None:
    """Where a finding belongs; None for what is no matter of the locate, such as the permit's people."""
    if one.code in OF_A_SWEEP:
        return one.subject.removeprefix("technique:")
    return SIGN if one.code in SIGNING else ENTERED_AS.get(one.code.split(".")[0])


def _of_the_sheet(frame: Frame, sheet: Sheet) -> Iterator[tuple[str, str]]:
    owed = ((sheet.outline, "The outline of the dig"), (sheet.depth_m, "The depth of the dig"), (sheet.method, "The method of the dig"))
    yield from ((DIG, f"{what} is not told yet.") for value, what in owed if value is None)
    for one in frame.good_answers:
        if one.enquiry not in sheet.plans_seen and (sheet.outline is None or frame.meets_needed(one)):
            yield PLANS, f"The plans of {one.service_owner} ({one.enquiry}) were not looked at yet."
    yield from ((KIT, says) for says in _unchecked(frame))
    if sheet.outline is None:
        yield from ((name, "The ground to sweep is known once the outline is told.") for name in (POWER, RADIO))
    # while services are still to be traced, they come next: that is done with a signal of one's own
    if not _used(frame) & {*ACTIVELY, EXPOSED} and not any(one.block for one in accounts(frame)):
        yield ACTIVE, "Nothing was swept or traced with a signal of one’s own, and nothing was exposed: passive sweeps alone are never enough."
    if frame.locate.traces and not sheet.marks:
        yield MARKS, "Nothing says how what was traced is marked on the ground."


def counts(frame: Frame, check: Check) -> bool:
    """Does a check before use say anything of this locate: made in the hours before it began, and not after?"""
    since = frame.locate.started_at - timedelta(hours=frame.numbers.whole("check_valid_hours"))
    return since <= check.checked_at <= frame.locate.started_at


def _unchecked(frame: Frame) -> Iterator[str]:
    """Instruments that are picked, which no sweep or trace has needed so far, and that were not checked: best done before the search begins."""
    needed = {kind for kind, _ in frame.instruments}
    for kind in INSTRUMENT_KINDS:
        one = getattr(frame.locate, kind)
        if one is not None and kind not in needed and not any(check.kind == "before_use" and not check.failed and counts(frame, check) for check in one.checks):
            yield f"The {kind} {one.instrument} is picked, and was not checked before use yet."
