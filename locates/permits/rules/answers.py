"""Which of the owners' answers the permits of a site rest on, and until when; and which owners have not answered."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from locates.permits.rules.evidence import Enquiry
from locates.permits.rules.frame import Frame
from locates.rules.ground import covers
from records.rules.cover import Span
from records.rules.names import owner_key


@dataclass(frozen=True, slots=True)
class Owed:
    """An owner's answer, or that it is owed. `enquiry` None: not asked. `ends`: the end of the answer; None: none yet, or it never ends."""

    owner: str
    enquiry: Enquiry | None
    answered: bool
    ends: datetime | None


def in_use(frame: Frame) -> Iterator[Owed]:
    """Every live enquiry of the site, but for answers that another of the same owner outlives on the same ground; and the owners not asked."""
    for owner in frame.evidence.site.owners_to_ask:
        if owner_key(owner) not in frame.live_by_owner:
            yield Owed(owner, None, False, None)
    for owned in frame.live_by_owner.values():
        spans = [(one, span) for one in owned if (span := frame.answer_span(one)) is not None]
        yield from (Owed(one.service_owner, one, False, None) for one in owned if not frame.answered(one))
        yield from (Owed(one.service_owner, one, True, span.ends) for one, span in spans if not any(_outlives(other, (one, span)) for other in spans))


def _outlives(other: tuple[Enquiry, Span], one: tuple[Enquiry, Span]) -> bool:
    """Is the other good for longer, on all of its ground?"""
    return _end(other) > _end(one) and (other[0].area is None or (one[0].area is not None and covers(other[0].area, one[0].area)))


def _end(one: tuple[Enquiry, Span]) -> tuple[bool, datetime, str]:
    enquiry, span = one
    return span.ends is None, span.ends or span.begins, enquiry.enquiry
