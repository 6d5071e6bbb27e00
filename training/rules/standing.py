"""How somebody stands: for each thing that a person may be authorised for, whether they are in date, through which day, and by what."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from records.rules.cover import Award, Span, award_failure, award_spans, cover_end
from records.rules.dates import local_day
from records.rules.words import AUTHORISATIONS

IN_DATE, LAPSED, WITHDRAWN, NOT_BEGUN, NEVER, LEFT = "in_date", "lapsed", "withdrawn", "not_begun", "never", "left"
MOMENT = timedelta(seconds=1)


@dataclass(frozen=True, slots=True)
class Standing:
    """One authorisation of one person on one site-local day.

    `good_through`: the last good day of cover without a gap, later withdrawals and leaving counted; None while in date: for ever.
    `since`: the day from which there is no cover. `award`: the one that it rests on, or that ended. `booked`: awards of a later day.
    """

    thing: str
    state: str
    good_through: date | None = None
    since: date | None = None
    award: Award | None = None
    booked: tuple[Award, ...] = ()

    @property
    def in_date(self) -> bool:
        return self.state == IN_DATE

    @property
    def held(self) -> bool:
        """Was there ever an award for it?"""
        return self.state != NEVER

    def rebook_from(self, lead_days: int) -> date | None:
        """When a renewal should be booked at the latest: so many days before the last good one; None where it never ends."""
        return None if self.good_through is None or not self.in_date else self.good_through - timedelta(days=lead_days)


def standings(awards: Iterable[Award], left_on: date | None, zone: ZoneInfo, at: datetime) -> dict[str, Standing]:
    """Each authorisation, in the trade's order, as the gate would find it at the instant."""
    every = tuple(awards)
    return {thing: standing(every, thing, left_on, zone, at) for thing in AUTHORISATIONS}


def standing(awards: tuple[Award, ...], thing: str, left_on: date | None, zone: ZoneInfo, at: datetime) -> Standing:
    """One of them."""
    today = local_day(at, zone)
    spans = award_spans(awards, thing, zone, today)
    booked = tuple(sorted((one for one in awards if thing in one.authorises and one.awarded_on > today), key=lambda one: (one.awarded_on, one.award)))
    if left_on is not None and left_on < today:
        return Standing(thing, LEFT if spans or booked else NEVER, since=left_on + timedelta(days=1), award=_named(awards, _last(spans)), booked=booked)
    if any(span.holds(at) for span in spans):
        end = cover_end(awards, thing, zone, today, at, left_on)
        holding = [span for span in spans if span.holds(at)]
        return Standing(thing, IN_DATE, None if end is None else local_day(end - MOMENT, zone), award=_named(awards, _last(holding)), booked=booked)
    failure = award_failure(awards, spans, thing, at)
    since = None if failure.since is None else local_day(failure.since, zone)
    return Standing(thing, failure.how, None if since is None else since - timedelta(days=1), since, _award(awards, failure.source), booked)


def _last(spans: list[Span]) -> Span | None:
    """The span that ends last."""
    return max(spans, key=lambda span: (span.ends is None, span.ends or span.begins, span.source), default=None)


def _named(awards: tuple[Award, ...], span: Span | None) -> Award | None:
    return None if span is None else _award(awards, span.source)


def _award(awards: tuple[Award, ...], source: str) -> Award | None:
    return next((one for one in awards if one.award == source), None)


def gap_before(one: Standing) -> tuple[date, date] | None:
    """The uncovered days between the end of the cover and the first booked award, first and last; None where there are none."""
    if not one.booked or one.good_through is None:
        return None
    first, after = one.booked[0].awarded_on, one.good_through + timedelta(days=1)
    return (after, first - timedelta(days=1)) if first > after else None
