"""Which agreements with owners answer a need near a dig, until when; and where none does, why not."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import cached_property

from shapely.geometry.base import BaseGeometry

from locates.owners.rules.terms import ATTEND, ISOLATE, Agreement, Need
from locates.permits.rules.frame import Frame
from locates.permits.rules.owned import Part, Place
from locates.rules.ground import covers, grown, meet, six, zone_radius
from records.rules.cover import Span, unbroken_end
from records.rules.dates import add_days, day_start, end_of_day, is_after, local_day
from records.rules.names import owner_key

Pair = tuple[Agreement, Span]


@dataclass(frozen=True, slots=True)
class Asked:
    """A need that a service at a place brings up, and the agreements that answer it; `why` says why they do not, and `since` from when on.

    Where they do, they end at `ends` (None: never) with the one named `source`.
    """

    place: Place
    part: Part
    need: Need
    relied: tuple[tuple[Agreement, Span], ...]
    ends: datetime | None = None
    source: str = ""
    why: str = ""
    since: datetime | None = None

    @property
    def owner(self) -> str:
        return self.part.owner or self.need.owner


@dataclass(frozen=True)
class Held:
    """The agreements of a site, as they stand for one permit at one instant: worked out once, for a site has many that are over."""

    frame: Frame

    @cached_property
    def start(self) -> datetime:
        """From when an agreement must hold: from now, or from the permit's start where that is to come."""
        return max(self.frame.at, self.frame.permit.valid_from)

    @cached_property
    def by_owner(self) -> dict[str, list[Agreement]]:
        """Those that exist by now, each owner's by ID."""
        groups: dict[str, list[Agreement]] = defaultdict(list)
        for one in sorted(self.frame.evidence.owners.agreements, key=lambda one: one.agreement):
            if one.agreed_at <= self.frame.at:
                groups[owner_key(one.owner)].append(one)
        return groups

    @cached_property
    def spans(self) -> dict[str, Span]:
        """By ID how long those are good that are not over when they must hold."""
        day = self.frame.day_of(self.start)
        current = (one for owned in self.by_owner.values() for one in owned if one.good_through >= day)
        spans = {one.agreement: span(self.frame, one) for one in current}
        return {name: its for name, its in spans.items() if not its.empty and is_after(its.ends, self.start)}

    def of(self, owner: str) -> list[Agreement]:
        """The owner's, or where nobody knows who that is, all."""
        if owner:
            return self.by_owner.get(owner_key(owner), [])
        return sorted((one for owned in self.by_owner.values() for one in owned), key=lambda one: one.agreement)

    def in_time(self, its: Span) -> bool:
        """Does it hold when it must, or begin within the permit's time?"""
        return its.holds(self.start) or self.start < its.begins < self.frame.permit.valid_to

    def proved(self, agreement: Agreement) -> bool:
        return agreement.proved_at is not None and agreement.proved_at <= self.frame.at

    def printed(self) -> list[Pair]:
        """Those that the crew must keep to, whether a need asks for them or not: all that were made for this ground and time. By ID."""
        pairs = ((one, self.spans[one.agreement]) for one in self.of("") if one.agreement in self.spans)
        outline = self.frame.permit.outline
        return [(one, its) for one, its in pairs if self.in_time(its) and (one.area is None or meet(one.area, outline))]


def span(frame: Frame, agreement: Agreement) -> Span:
    """How long it is good: for whole days, not before it was agreed, and until the start of the day on which it was taken back."""
    begins = max(agreement.agreed_at, day_start(agreement.good_from, frame.zone))
    natural = end_of_day(agreement.good_through, frame.zone)
    cut = None if agreement.withdrawn_on is None else day_start(agreement.withdrawn_on, frame.zone)
    withdrawn = cut is not None and is_after(natural, cut)
    return Span(begins, cut if withdrawn else natural, agreement.agreement, withdrawn)


def answered(held: Held, place: Place, part: Part, need: Need) -> Asked:
    """The need as that service at that place brings it up, with what answers it."""
    whose, ground = held.of(part.owner or need.owner), _Ground(held.frame, place, need)
    current = (one for one in whose if one.agreement in held.spans and _for_it(one, need, part))
    ahead = [(one, held.spans[one.agreement]) for one in current if ground.covered(one)]
    pairs = [pair for pair in ahead if need.needed != ISOLATE or held.proved(pair[0])]
    start, last = held.start, held.frame.permit.valid_to
    ends = unbroken_end([its for _, its in pairs], start)
    if not is_after(ends, start) or (need.needed == ATTEND and ends is not None and ends < last):
        fitting = [one for one in whose if _for_it(one, need, part)]
        why, since = _why(held, fitting, ahead, pairs, ground)
        return Asked(place, part, need, (), why=why, since=since)
    source = max((one.agreement for one, its in pairs if its.ends == ends), default="")
    return Asked(place, part, need, tuple(pair for pair in pairs if held.in_time(pair[1])), ends, source)


def _for_it(agreement: Agreement, need: Need, part: Part) -> bool:
    """Is it, of the right owner's, for what is needed and for this service? Where nobody knows whose a service is, it must name the utility."""
    if need.needed not in agreement.agreed:
        return False
    if agreement.service:
        return agreement.service in part.same
    return agreement.utility in part.utilities | {need.utility} if agreement.utility else bool(part.owner or need.owner)


@dataclass(frozen=True)
class _Ground:
    """The ground that an agreement must cover."""

    frame: Frame
    place: Place
    need: Need

    @cached_property
    def shape(self) -> BaseGeometry:
        """The part of the outline that is near; where only a point of it is, or nobody knows where, the whole outline."""
        outline, trace = self.frame.permit.outline, self.place.trace
        if trace is None:
            return outline
        near = outline.intersection(grown(trace.line, zone_radius(trace.width_m, self.need.within_m, Decimal(0))))
        return near if six(near.area) > 0 else outline

    def covered(self, agreement: Agreement) -> bool:
        return agreement.area is None or covers(agreement.area, self.shape)


# why not


def _why(held: Held, fitting: list[Agreement], ahead: list[Pair], pairs: list[Pair], ground: _Ground) -> tuple[str, datetime | None]:
    """Why what is on record does not answer the need, and since when. `ahead`: what is not over and for this ground; `pairs`: what of it counts."""
    frame = held.frame
    if not fitting:
        return "nothing is on record", None
    ends = unbroken_end([its for _, its in pairs], held.start)
    if is_after(ends, held.start):
        last = max(one.agreement for one, its in pairs if its.ends == ends)
        return f"{last} is good through {frame.last_day(ends)}, and the permit runs longer", None
    if ahead and not pairs:
        return f"of {ahead[-1][0].agreement} it is not on record who proved it dead or shut off", None
    if (over := next(_over(held, fitting, ground), None)) is not None:
        its = span(frame, over)
        how = f"taken back on {frame.says(local_day(its.ends, frame.zone))}" if its.withdrawn else f"good through {frame.last_day(its.ends)}"
        return f"{over.agreement} was {how}", its.ends if its.ends <= frame.at else None
    if pairs:
        first = min((its for _, its in pairs), key=lambda its: (its.begins, its.source))
        return f"{first.source} begins only on {frame.from_says(first.begins)}", None
    return f"{fitting[-1].agreement} is for other ground", None


def _over(held: Held, fitting: list[Agreement], ground: _Ground) -> Iterator[Agreement]:
    """What is over and was for this ground, the last to end first."""
    over = [one for one in fitting if one.agreement not in held.spans]
    for one in sorted(over, key=_ended_by, reverse=True):
        if ground.covered(one):
            yield one


def _ended_by(agreement: Agreement) -> tuple[date, bool, str]:
    """The day by which it was over, whether it was taken back (which then comes first), and its ID."""
    after = add_days(agreement.good_through, 1) or date.max
    back = agreement.withdrawn_on is not None and agreement.withdrawn_on < after
    return (agreement.withdrawn_on if back else after), back, agreement.agreement
