"""Awards make cover: over which time a person is authorised for a thing, and where that fails."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from records.rules.dates import add_months, day_start, earlier, end_of_day, is_after


@dataclass(frozen=True, slots=True)
class Award:
    """One award. `valid_months` None: the course does not expire."""

    award: str
    authorises: frozenset[str]
    awarded_on: date
    valid_months: int | None = None
    expires_on: date | None = None
    withdrawn_on: date | None = None
    course_title: str = ""
    certificate_no: str = ""

    def good_through(self) -> date | None:
        """Its last day, withdrawals aside; None: for ever."""
        if self.expires_on is not None or self.valid_months is None:
            return self.expires_on
        return add_months(self.awarded_on, self.valid_months)


@dataclass(frozen=True, slots=True)
class Span:
    """Half-open validity of one piece of evidence. `withdrawn`: a withdrawal ended it before its time. `source` names the evidence."""

    begins: datetime
    ends: datetime | None
    source: str = ""
    withdrawn: bool = False

    def holds(self, instant: datetime) -> bool:
        return self.begins <= instant and is_after(self.ends, instant)

    @property
    def empty(self) -> bool:
        return not is_after(self.ends, self.begins)


@dataclass(frozen=True, slots=True)
class Failure:
    """Why cover fails: never, not_begun, withdrawn or lapsed; since when; and the evidence that ended."""

    how: str
    since: datetime | None
    source: str = ""


def award_spans(awards: Iterable[Award], thing: str, zone: ZoneInfo, today: date, *, foreseen: bool = False) -> list[Span]:
    """The time each award gives for the thing. A withdrawal ends every award dated on or before its day.

    Awards dated after `today` have not begun and are left out; so are withdrawals, unless they are `foreseen`.
    """
    for_thing = [award for award in awards if thing in award.authorises]
    withdrawals = [award.withdrawn_on for award in for_thing if award.withdrawn_on is not None and (foreseen or award.withdrawn_on <= today)]
    return [_span(award, withdrawals, zone) for award in for_thing if award.awarded_on <= today]


def _span(award: Award, withdrawals: list[date], zone: ZoneInfo) -> Span:
    natural = end_of_day(award.good_through(), zone)
    ending = min((day for day in withdrawals if day >= award.awarded_on), default=None)
    cut = None if ending is None else day_start(ending, zone)
    withdrawn = cut is not None and is_after(natural, cut)
    return Span(day_start(award.awarded_on, zone), cut if withdrawn else natural, award.award, withdrawn)


def unbroken_end(spans: Sequence[Span], start: datetime) -> datetime | None:
    """Until when the spans' union covers without a gap from `start` on; `start` itself where it is not covered; None: for ever."""
    end = start
    while True:
        holding = [span.ends for span in spans if span.holds(end)]
        if not holding:
            return end
        if None in holding:
            return None
        end = max(reach for reach in holding if reach is not None)


def first_gap(spans: Sequence[Span], first: datetime, last: datetime) -> datetime | None:
    """The first uncovered instant in [first, last], both included; None where there is none."""
    end = unbroken_end(spans, first)
    return None if end is None or end > last else end


def award_failure(awards: Iterable[Award], spans: Sequence[Span], thing: str, instant: datetime) -> Failure:
    """Why the thing is not covered at an uncovered instant, by the awards that began at or before it."""
    begun = [span for span in spans if span.begins <= instant]
    if not begun:
        later = min((award for award in awards if thing in award.authorises), key=lambda award: (award.awarded_on, award.award), default=None)
        return Failure("not_begun", None, later.award) if later else Failure("never", None)
    last = max(begun, key=lambda span: (span.ends, span.withdrawn, span.source))
    return Failure("withdrawn" if last.withdrawn else "lapsed", last.ends, last.source)


def cover_end(awards: Iterable[Award], thing: str, zone: ZoneInfo, today: date, at: datetime, left_on: date | None) -> datetime | None:
    """Until when a person stays covered from `at` on, by what is recorded now: later withdrawals and the day of leaving count.

    Not after `at` where they are not covered at all; None: for ever.
    """
    spans = award_spans(awards, thing, zone, today, foreseen=True)
    return earlier(unbroken_end(spans, at), end_of_day(left_on, zone))
