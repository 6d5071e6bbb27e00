"""Whether the operator was, and each person on the permit is, authorised and in date."""

from collections.abc import Iterable, Iterator
from datetime import date, datetime, timedelta

from locates.permits.rules.evidence import Person
from locates.permits.rules.frame import Frame
from records.rules.cover import Failure, award_failure, award_spans, first_gap, unbroken_end
from records.rules.dates import end_of_day
from records.rules.verdict import Finding
from records.rules.words import spoken

REMEDIES = {
    "withdrawn": "Have them assessed and awarded anew, or name somebody else (on a new permit, once this one is signed).",
    "lapsed": "Book the refresher and record the award, or name somebody else (on a new permit, once this one is signed).",
    "not_begun": "Wait until the award begins, or name somebody else (on a new permit, once this one is signed).",
    "never": "Train them and record the award, or name somebody else (on a new permit, once this one is signed).",
}

OPERATOR_REMEDIES = {
    "withdrawn": "Locate again by somebody who is authorised.",
    "lapsed": "Book the refresher and record the award; if it had lapsed before the locate was finished, locate again by somebody in date.",
    "not_begun": "Locate again by somebody whose award has begun.",
    "never": "Locate again by somebody who is authorised.",
}


def operator_blocks(frame: Frame) -> Iterator[Finding]:
    if not frame.begun:
        return
    operator, started = frame.locate.operator, frame.locate.started_at
    for technique in frame.techniques:
        spans = award_spans(operator.awards, technique, frame.zone, frame.today)
        gaps = (first_gap(spans, started, frame.locate_ends), first_gap(spans, frame.at, frame.at))
        for gap in gaps:
            if gap is not None:
                yield _finding(frame, "operator", operator, technique, award_failure(operator.awards, spans, technique, gap))
    if frame.techniques and _left_before(operator, frame.day_of(started)):
        yield left(frame, "operator", operator, "Locate again by somebody who is still with the firm.")


def operator_cautions(frame: Frame) -> Iterator[Finding]:
    if not frame.begun or not frame.techniques:
        return
    operator = frame.locate.operator
    if _left_before(operator, frame.today) and not _left_before(operator, frame.day_of(frame.locate.started_at)):
        yield left(frame, "operator", operator, "The locate still counts; where something about it is in doubt, locate again, for they can no longer be asked.")


def _left_before(person: Person, day: date) -> bool:
    return person.left_on is not None and person.left_on < day


def left(frame: Frame, role: str, person: Person, remedy: str) -> Finding:
    told = f"{person.name} left on {frame.says(person.left_on)}."
    return Finding(f"{role}.left", f"person:{person.person}", told, remedy, end_of_day(person.left_on, frame.zone))


def on_permit(frame: Frame) -> list[tuple[str, Person, str]]:
    """Each person asked about at the instant: role, person, and what they must be authorised for."""
    permit = frame.permit
    crew = [("crew", one, "dig") for one in permit.crew]
    return [("issuer", permit.issuer, "issue_permit"), ("receiver", permit.receiver, "receive_permit"), *crew]


def blocks(frame: Frame) -> Iterator[Finding]:
    for role, person, thing in on_permit(frame):
        yield from asked(frame, role, person, thing)


def asked(frame: Frame, role: str, person: Person, thing: str) -> Iterator[Finding]:
    """What keeps a person from being this on the permit now: no cover for the thing, or gone."""
    spans = award_spans(person.awards, thing, frame.zone, frame.today)
    if first_gap(spans, frame.at, frame.at) is not None:
        yield _finding(frame, role, person, thing, award_failure(person.awards, spans, thing, frame.at))
    if _left_before(person, frame.today):
        yield left(frame, role, person, "Name somebody who is still with the firm (on a new permit, once this one is signed).")


def uncovered(frame: Frame, role: str, person: Person, thing: str, at: datetime) -> Finding:
    """Why the person was not covered for the thing at an instant at which they were not."""
    spans = award_spans(person.awards, thing, frame.zone, frame.today)
    return _finding(frame, role, person, thing, award_failure(person.awards, spans, thing, at))


def _finding(frame: Frame, role: str, person: Person, thing: str, failure: Failure) -> Finding:
    award = next((one for one in person.awards if one.award == failure.source), None)
    from_award = f" (award {award.award})" if award else ""
    told = {
        "never": f"{person.name} has no award for {spoken(thing)}.",
        "not_begun": f"{person.name}'s authorisation for {spoken(thing)}{from_award} begins only on {frame.says(award.awarded_on) if award else ''}.",
        "withdrawn": f"{person.name}'s authorisation for {spoken(thing)}{from_award} was withdrawn" + _on(frame, failure.since),
        "lapsed": f"{person.name}'s authorisation for {spoken(thing)}{from_award} was good through {_last_day(frame, failure.since)}.",
    }[failure.how]
    remedy = (OPERATOR_REMEDIES if role == "operator" else REMEDIES)[failure.how]
    return Finding(f"{role}.{failure.how}", f"person:{person.person}/{thing}", told, remedy, failure.since)


def _on(frame: Frame, since: datetime | None) -> str:
    return f" on {frame.says(frame.day_of(since))}." if since else "."


def _last_day(frame: Frame, since: datetime | None) -> str:
    return frame.last_day(since) if since else ""


def soon(frame: Frame) -> datetime:
    """Up to when an end counts as due soon."""
    return frame.at + timedelta(hours=24 * frame.numbers.whole("due_soon_days"))


def due(frame: Frame, subject: str, told: str, end: datetime | None) -> Iterable[Finding]:
    """The caution that something which stands now ends soon; nothing where it does not."""
    if end is None or not frame.at < end <= soon(frame):
        return ()
    return (Finding("due.soon", subject, f"{told} is good through {frame.last_day(end)}.", "Renew it in time."),)


def due_cautions(frame: Frame) -> Iterator[Finding]:
    operator = [("operator", frame.locate.operator, technique) for technique in frame.techniques] if frame.begun else []
    for _, person, thing in (*operator, *on_permit(frame)):
        end = unbroken_end(award_spans(person.awards, thing, frame.zone, frame.today), frame.at)
        yield from due(frame, f"person:{person.person}/{thing}", f"{person.name}'s authorisation for {spoken(thing)}", end)
