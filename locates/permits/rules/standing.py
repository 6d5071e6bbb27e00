"""How long each piece of evidence stands: what the time bars and the evidence table show. The gate decides; this only lays its evidence out."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from locates.owners.rules.terms import OWED
from locates.permits.rules import owners
from locates.permits.rules.evidence import Enquiry, Evidence, Person
from locates.permits.rules.frame import HOUR, Frame, framed
from locates.permits.rules.kit import calibrations, subject
from locates.permits.rules.people import on_permit
from locates.permits.rules.wrong_plans import found_at
from locates.rules.fitness import Instrument, known_checks, self_test_span
from records.rules.cover import Span, award_spans
from records.rules.names import owner_key
from records.rules.words import spoken


@dataclass(frozen=True, slots=True)
class Standing:
    """One bar: the group it belongs to, the subject as verdicts name it, words for it, its half-open validity (ends None: never), and whether it holds now.

    `begins` None: there is no such evidence, and the bar is empty. Group: plans, locate, award, calibration, self_test, check or agreement.
    """

    group: str
    subject: str
    label: str
    detail: str
    begins: datetime | None
    ends: datetime | None
    good: bool


def standing(evidence: Evidence, at: datetime) -> tuple[Standing, ...]:
    """A bar for each piece of evidence that the gate looks at now, in the gate's order."""
    frame = framed(evidence, at)
    return tuple(_every(frame))


def _every(frame: Frame) -> Iterator[Standing]:
    yield from _plans(frame)
    yield from _locate(frame)
    yield from _people(frame)
    for kind, instrument in frame.instruments:
        if instrument is None:
            yield _bar(frame, "calibration", f"locate:{frame.locate.locate}/{kind}", (kind.capitalize(), "needed, and none is named"), None)
        else:
            yield from _instrument(frame, instrument)
    yield from _agreements(frame)


def _bar(frame: Frame, group: str, named: str, words: tuple[str, str], span: Span | None) -> Standing:
    label, detail = words
    if span is None:
        return Standing(group, named, label, detail, None, None, False)
    return Standing(group, named, label, detail, span.begins, span.ends, span.holds(frame.at))


def _plans(frame: Frame) -> Iterator[Standing]:
    for owner in frame.evidence.site.owners_to_ask:
        if owner_key(owner) not in frame.live_by_owner:
            yield _bar(frame, "plans", f"owner:{owner}", (f"Plans: {owner}", "not asked"), None)
    for owned in frame.live_by_owner.values():
        answered = [one for one in owned if frame.answered(one)]
        for one in _that_matter(frame, answered) or [max(owned, key=lambda one: (one.sent_on, one.enquiry))]:
            detail = f"{one.enquiry} {one.reference_no}".strip() + (f", answered {frame.says(one.answered_at)}" if answered else ", not answered")
            detail += ", for other ground" if answered and not frame.meets_needed(one) else ""
            bar = _bar(frame, "plans", f"enquiry:{one.enquiry}", (f"Plans: {one.service_owner}", detail), frame.answer_span(one))
            yield _cut(frame, bar, found_at(one, frame.at))


def _cut(frame: Frame, bar: Standing, wrong_since: datetime | None) -> Standing:
    """The bar of an answer, which stands no longer than until it was found wrong."""
    if wrong_since is None or bar.begins is None:
        return bar
    ends = wrong_since if bar.ends is None else min(bar.ends, wrong_since)
    return replace(bar, detail=f"{bar.detail}, found wrong {frame.says(wrong_since)}", ends=ends, good=False)


def _that_matter(frame: Frame, answered: list[Enquiry]) -> list[Enquiry]:
    """An owner's answers for the needed ground, and the one that ends last, which is the owner's limit whatever ground it is for."""
    last = _latest(frame, [frame.answer_span(one) for one in answered])
    return [one for one in answered if frame.meets_needed(one) or one.enquiry == last.source]


def _locate(frame: Frame) -> Iterator[Standing]:
    if frame.locate is None:
        yield _bar(frame, "locate", "locate", ("Locate", "the permit names none"), None)
    else:
        detail = f"by {frame.locate.operator.name}, begun {frame.says(frame.locate.started_at)}"
        yield _bar(frame, "locate", f"locate:{frame.locate.locate}", (f"Locate {frame.locate.locate}", detail), frame.locate_span)


def _people(frame: Frame) -> Iterator[Standing]:
    operator = [("operator", frame.locate.operator, technique) for technique in frame.techniques] if frame.begun else []
    for role, person, thing in (*operator, *on_permit(frame)):
        yield _award(frame, role, person, thing)


def _award(frame: Frame, role: str, person: Person, thing: str) -> Standing:
    best = _latest(frame, award_spans(person.awards, thing, frame.zone, frame.today))
    award = next((one for one in person.awards if best is not None and one.award == best.source), None)
    detail = f"{award.award} {award.course_title}".strip() if award else "no award"
    if award and award.certificate_no:
        detail += f", certificate {award.certificate_no}"
    return _bar(frame, "award", f"person:{person.person}/{thing}", (f"{person.name}: {spoken(thing)} ({role})", detail), best)


def _latest(frame: Frame, spans: Iterable[Span]) -> Span | None:
    """The span to show: of those that hold now the one that ends last, else the one that ended last."""
    return max(spans, key=lambda span: (span.holds(frame.at), span.ends is None, span.ends or frame.at, span.source), default=None)


def _instrument(frame: Frame, instrument: Instrument) -> Iterator[Standing]:
    name = f"{instrument.kind.capitalize()} {instrument.instrument}"
    serial = f"serial number {instrument.serial_no}"
    if instrument.calibration_months is not None:
        known, spans = calibrations(frame, instrument)
        best = _latest(frame, spans)
        record = next((one for one in known if best is not None and one.calibration == best.source), None)
        paper = ", ".join(part for part in (record.calibration, record.laboratory, record.certificate_no) if part) if record else "no calibration in force"
        yield _bar(frame, "calibration", subject(instrument), (f"{name}: calibration", f"{serial}; {paper}"), best)
    checks = known_checks(instrument, frame.at)
    if instrument.self_test_days is not None:
        span = self_test_span(checks, instrument.self_test_days, frame.at, frame.zone)
        yield _bar(frame, "self_test", subject(instrument), (f"{name}: self-test", f"{serial}; {span.source if span else 'none passed'}"), span)
    yield _before_use(frame, instrument, name, serial)


def _before_use(frame: Frame, instrument: Instrument, name: str, serial: str) -> Standing:
    """The latest before-use check up to the locate's start, good for the hours in which it serves the start of a locate."""
    hours = frame.numbers.whole("check_valid_hours")
    made = [one for one in known_checks(instrument, frame.at) if one.kind == "before_use" and one.checked_at <= frame.locate.started_at]
    last = made[-1] if made else None
    if last is None:
        return Standing("check", subject(instrument), f"{name}: before-use check", f"{serial}; none", None, None, False)
    ends = last.checked_at + hours * HOUR
    good = not last.failed and frame.locate.started_at <= ends
    detail = f"{serial}; {last.check}, {'failed' if last.failed else 'passed'} {frame.says(last.checked_at)}, serves a locate begun within {hours} h"
    return Standing("check", subject(instrument), f"{name}: before-use check", detail, last.checked_at, ends, good)


def _agreements(frame: Frame) -> Iterator[Standing]:
    """The agreements that answer what owners must be asked for, and what is not answered and stops every sign-off."""
    every = owners.asked(frame)
    relied = {agreement.agreement: (agreement, its) for one in every for agreement, its in one.relied}
    for name, (agreement, its) in sorted(relied.items()):
        detail = f"{name} {agreement.reference_no}".strip() + f", agreed {frame.says(agreement.agreed_at)} with {agreement.agreed_with}"
        yield Standing("agreement", f"agreement:{name}", f"Agreement of {agreement.owner}", detail, its.begins, its.ends, True)
    for one in every:
        if one.why and one.need.blocks:
            label = f"{one.owner or 'Its owner'}: to {OWED[one.need.needed]}"
            yield Standing("agreement", one.place.subject, label, f"{one.place.words} ({one.need.need}): {one.why}", None, None, False)
