"""The permit itself: its window and its people; and until when a sign-off would hold."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from locates.permits.rules.evidence import Person
from locates.permits.rules.frame import HOUR, Frame, by_owner
from records.rules.cover import cover_end
from records.rules.verdict import Finding
from records.rules.words import spoken

PERMIT = "permit"


@dataclass(frozen=True, slots=True)
class Limit:
    """An instant at which something that the permit rests on ends."""

    ends: datetime
    subject: str
    says: str


def limits(frame: Frame, further: Sequence[Limit]) -> list[Limit]:
    """All that ends, but for the permit's own greatest length; `further`: what other sections say ends."""
    return [*_answers_end(frame), *_locate_ends(frame), *_people_end(frame), *further]


def longest(frame: Frame) -> Limit:
    hours = frame.numbers.whole("permit_max_hours")
    return Limit(frame.permit.valid_from + hours * HOUR, PERMIT, f"the longest permit, {hours} hours")


def until(frame: Frame, further: Sequence[Limit] = ()) -> tuple[datetime, tuple[str, ...]]:
    """The earliest limit, and the subjects of all that end at that very instant."""
    every = [longest(frame), *_emergency_ends(frame), *limits(frame, further)]
    earliest = min(limit.ends for limit in every)
    return earliest, tuple(sorted({limit.subject for limit in every if limit.ends == earliest}))


def _emergency_ends(frame: Frame) -> Iterator[Limit]:
    if frame.evidence.emergency is not None:
        hours = frame.emergency_numbers.whole("emergency_max_hours")
        yield Limit(frame.permit.valid_from + hours * HOUR, PERMIT, f"the longest emergency work, {hours} hours")


def _answers_end(frame: Frame) -> Iterator[Limit]:
    for answers in by_owner(frame.good_answers).values():
        spans = [(frame.answer_span(one), one.service_owner) for one in answers]
        if all(span.ends is not None for span, _ in spans):
            last, owner = max(spans, key=lambda pair: (pair[0].ends, pair[0].source))
            yield Limit(last.ends, f"enquiry:{last.source}", f"the answer of {owner} ({last.source})")


def _locate_ends(frame: Frame) -> Iterator[Limit]:
    span = frame.locate_span
    if span is not None and span.holds(frame.at) and span.ends is not None:
        yield Limit(span.ends, f"locate:{span.source}", f"locate {span.source}")


def _people_end(frame: Frame) -> Iterator[Limit]:
    permit = frame.permit
    for person, thing in ((permit.receiver, "receive_permit"), *((one, "dig") for one in permit.crew)):
        ends = cover_end(person.awards, thing, frame.zone, frame.today, frame.at, person.left_on)
        if ends is not None and ends > frame.at:
            yield Limit(ends, f"person:{person.person}/{thing}", f"{person.name}'s authorisation for {spoken(thing)}")


def inner(sentence: str) -> str:
    """The words as they stand inside a sentence."""
    return sentence[0].lower() + sentence[1:]


def blocks(frame: Frame, further: Sequence[Limit] = ()) -> Iterator[Finding]:
    yield from _window(frame, further)
    yield from _people(frame)


def _window(frame: Frame, further: Sequence[Limit]) -> Iterator[Finding]:
    permit, says = frame.permit, frame.says
    if permit.valid_to <= permit.valid_from:
        told = f"The permit's end, {says(permit.valid_to)}, is not after its start, {says(permit.valid_from)}."
        yield Finding("window.reversed", PERMIT, told, "Set an end after the start.")
        return
    if permit.valid_to <= frame.at:
        yield Finding("window.past", PERMIT, f"The permit ended on {says(permit.valid_to)}.", "Prepare a new permit for a coming time.", permit.valid_to)
    hours = frame.numbers.whole("permit_max_hours")
    if permit.valid_to - permit.valid_from > hours * HOUR:
        told = f"The permit runs from {says(permit.valid_from)} to {says(permit.valid_to)}, longer than the {hours} hours allowed."
        yield Finding("window.over_limit", PERMIT, told, f"End it by {says(longest(frame).ends)}.")
    yield from _outlasts(frame, further)


def _outlasts(frame: Frame, further: Sequence[Limit]) -> Iterator[Finding]:
    permit = frame.permit
    first = min(limits(frame, further), key=lambda limit: (limit.ends, limit.subject), default=None)
    if first is None or permit.valid_to <= first.ends:
        return
    told = f"The permit runs to {frame.says(permit.valid_to)}, but {first.says} ends on {frame.says(first.ends)}."
    helpful = first.ends > frame.at and first.ends > permit.valid_from
    remedy = f"End the permit by {frame.says(first.ends)}, or renew what ends then." if helpful else f"Renew {first.says} before this permit is signed."
    yield Finding("window.outlasts_evidence", PERMIT, told, remedy)


def _people(frame: Frame) -> Iterator[Finding]:
    permit = frame.permit
    crew = {one.person for one in permit.crew}
    issuer = permit.issuer
    if issuer.person == permit.receiver.person:
        yield _same(issuer, "people.issuer_is_receiver", "both issues and receives the permit", "Name another issuer or receiver.")
    if issuer.person in crew:
        yield _same(issuer, "people.issuer_in_crew", "issues the permit and is one of the crew", "Name another issuer, or take them off the crew.")
    if not crew:
        yield Finding("people.no_crew", PERMIT, "Nobody is named as crew.", "Name each person who will dig.")


def _same(person: Person, code: str, does: str, remedy: str) -> Finding:
    return Finding(code, PERMIT, f"{person.name} {does}.", remedy)


def cautions(frame: Frame) -> Iterator[Finding]:
    permit = frame.permit
    if permit.valid_to > permit.valid_from and frame.at - permit.valid_from > 24 * HOUR:
        told = f"The permit's time began on {frame.says(permit.valid_from)}, more than 24 hours ago."
        yield Finding("window.begun", PERMIT, told, "Make sure that no work has been done without a signed permit.")
