"""A permit that follows another: what may be said to follow what, what differs between the two, and what the gate says of it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from locates.permits.rules.evidence import Before, Beside, Permit
from locates.permits.rules.frame import Frame
from locates.rules.ground import TOUCH_M2, meet, shared, six
from records.rules.says import window_says
from records.rules.verdict import Finding, rounded
from records.rules.words import spoken
from records.rules.wrong import Wrong


def following_wrongs(record: Any, permit: Any, follows: Any) -> Iterator[Wrong]:
    """A permit that follows itself, or one of another site. Records as they are stored; None where one is not known."""
    if permit is not None and follows is not None:
        if permit.pk == follows.pk:
            yield Wrong("follows", f"permit {permit.pk} cannot follow itself: an earlier one was expected", ("permit",))
        elif permit.site_id != follows.site_id:
            yield Wrong("follows", f"permit {follows.pk} is of another site: one of the same site was expected", ("permit",))


@dataclass(frozen=True, slots=True)
class Change:
    """One thing in which a permit may differ from the one that it follows, in words."""

    what: str
    was: str
    now: str

    @property
    def differs(self) -> bool:
        return self.was != self.now


def changes(old: Permit, new: Permit, zone: ZoneInfo) -> list[Change]:
    """The two permits side by side: outline, depth, method, time and people."""
    return [_outlines(old, new), *(Change(what, say(old), say(new)) for what, say in _told(zone))]


def _outlines(old: Permit, new: Permit) -> Change:
    was, now = _ground(old), _ground(new)
    return Change("Outline", was, f"{now}, but of another shape" if was == now and not old.outline.equals(new.outline) else now)


def _told(zone: ZoneInfo) -> Iterator[tuple[str, Any]]:
    yield "Depth", lambda one: f"{one.depth_m.normalize():f} m"
    yield "Method", lambda one: spoken(one.method)
    yield "Time", lambda one: window_says(one.valid_from, one.valid_to, zone)
    yield "Issuer", lambda one: one.issuer.name
    yield "Receiver", lambda one: one.receiver.name
    yield "Crew", lambda one: ", ".join(sorted(person.name for person in one.crew)) or "nobody"


def _ground(permit: Permit) -> str:
    left, bottom, right, top = permit.outline.bounds
    return f"{rounded(permit.outline.area)} m², from {left:.2f} {bottom:.2f} to {right:.2f} {top:.2f}"


def still_open(before: Before, at: datetime) -> bool:
    """May anyone still dig by it, or is it not told how the ground was left?

    One whose time ran out is open until it is handed back: only then does anyone say in what state the work was left. One that nobody ever accepted
    is over with its time, for nobody has dug by it and nobody can.
    """
    if before.over_at is not None and before.over_at <= at:
        return False
    if before.accepted_at is not None and before.accepted_at <= at:
        return True
    return before.issued_at is not None and before.issued_at <= at < before.permit.valid_to


def blocks(frame: Frame) -> Iterator[Finding]:
    before = frame.evidence.follows
    if before is not None and still_open(before, frame.at):
        name, ends = before.permit.permit, before.permit.valid_to
        if ends <= frame.at:
            told = f"The permit that this one follows, {name}, ended by its time on {frame.says(ends)} and is not handed back."
            yield Finding("follows.still_open", f"permit:{name}", told, f"Have {name} handed back, so that it is told how the ground was left.", ends)
        else:
            told = f"The permit that this one follows, {name}, is neither ended nor handed back, and runs to {frame.says(ends)}."
            yield Finding("follows.still_open", f"permit:{name}", told, f"End {name} first, and say in it how the work was left.")
    for one in frame.evidence.followers:
        if one.issued_at <= frame.at:
            told = f"Permit {one.permit}, which follows this one, was issued on {frame.says(one.issued_at)}."
            remedy = f"Work by permit {one.permit}; this one is not signed any more."
            yield Finding("follows.replaced", f"permit:{one.permit}", told, remedy, one.issued_at)


def cautions(frame: Frame) -> Iterator[Finding]:
    named = {one.permit for one in frame.evidence.followers}
    if frame.evidence.follows is not None:
        named.add(frame.evidence.follows.permit.permit)
    for one in frame.evidence.beside:
        if one.permit not in named and _at_once(frame, one) and (area := _shared(frame, one)) > TOUCH_M2:
            told = f"Permit {one.permit}, which runs to {frame.says(one.ends)}, is for {rounded(area)} m² of the same ground."
            remedy = "If this permit takes its place, name it as the one that this follows; else see that the two crews know of one another."
            yield Finding("follows.shares_ground", f"permit:{one.permit}", told, remedy)


def _at_once(frame: Frame, one: Beside) -> bool:
    """Is it issued and its time not over, and does its time meet this permit's?"""
    permit = frame.permit
    return one.issued_at <= frame.at < one.ends and one.valid_from < permit.valid_to and permit.valid_from < one.ends


def _shared(frame: Frame, one: Beside) -> Any:
    """Square metres, rounded as they are compared."""
    outline = frame.permit.outline
    return six(shared([outline, one.outline]).area) if meet(outline, one.outline) else six(0)
