"""Which of the owners' answers the permits of a site rest on, and until when; and which owners have not answered."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from locates.permits.rules.evidence import Enquiry
from locates.permits.rules.frame import Frame
from locates.permits.rules.wrong_plans import found_at
from locates.rules.ground import covers
from records.rules.cover import Span
from records.rules.names import owner_key


@dataclass(frozen=True, slots=True)
class Owed:
    """An owner's answer, or that it is owed. `enquiry` None: not asked. `ends`: the end of the answer; None: none yet, or it never ends.

    `wrong_since`: when the answer was found wrong; another is owed in its place.
    """

    owner: str
    enquiry: Enquiry | None
    answered: bool
    ends: datetime | None
    wrong_since: datetime | None = None


def in_use(frame: Frame) -> Iterator[Owed]:
    """Every live enquiry of the site, and the owners not asked.

    Left out is an answer that another of the same owner outlives on the same ground, or, found wrong, that another given since stands for.
    """
    for owner in frame.evidence.site.owners_to_ask:
        if owner_key(owner) not in frame.live_by_owner:
            yield Owed(owner, None, False, None)
    for owned in frame.live_by_owner.values():
        wrong = {one.enquiry: found for one in owned if (found := found_at(one, frame.at)) is not None}
        spans = [(one, span) for one in owned if one.enquiry not in wrong and (span := frame.answer_span(one)) is not None]
        yield from (Owed(one.service_owner, one, False, None) for one in owned if not frame.answered(one))
        for one in owned:
            if one.enquiry in wrong and not any(other.answered_at > wrong[one.enquiry] and _on_all_of(other, one) for other, _ in spans):
                yield Owed(one.service_owner, one, False, None, wrong[one.enquiry])
        yield from (Owed(one.service_owner, one, True, span.ends) for one, span in spans if not any(_outlives(other, (one, span)) for other in spans))


def _outlives(other: tuple[Enquiry, Span], one: tuple[Enquiry, Span]) -> bool:
    """Is the other good for longer, on all of its ground?"""
    return _end(other) > _end(one) and _on_all_of(other[0], one[0])


def _on_all_of(other: Enquiry, one: Enquiry) -> bool:
    """Is the other for all of its ground?"""
    return other.area is None or (one.area is not None and covers(other.area, one.area))


def _end(one: tuple[Enquiry, Span]) -> tuple[bool, datetime, str]:
    enquiry, span = one
    return span.ends is None, span.ends or span.begins, enquiry.enquiry
