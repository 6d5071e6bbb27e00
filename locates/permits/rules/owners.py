"""What the owners of services near the dig must have agreed to, by the needs of the site's rule set: where that has none, nothing.

The distance is that from the outline to the service's edge, as for hand digging. A service that no trace names and that nobody says lies outside
the dig could be anywhere: it is taken as near.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from shapely.geometry.base import BaseGeometry

from locates.owners.rules.terms import ATTEND, CONSULT, ISOLATE, OWED, Agreement, Need, in_force
from locates.permits.rules.frame import Frame
from locates.permits.rules.owned import Part, Place, concerns, places, reaches
from locates.permits.rules.window import Limit
from locates.rules.ground import covers, grown, meet, six, zone_radius
from records.rules.cover import Span, unbroken_end
from records.rules.dates import day_start, end_of_day, is_after, local_day
from records.rules.names import owner_key
from records.rules.verdict import Condition, Finding, rounded

BLOCKS = {CONSULT: "owner.not_consulted", ATTEND: "owner.not_attending", ISOLATE: "owner.not_isolated"}
CAUTIONS = {CONSULT: "owner.consult", ATTEND: "owner.attend", ISOLATE: "owner.isolate"}
AGREED, AHEAD = "owner.agreed", "owner.change_ahead"
REMEDIES = {
    CONSULT: "Agree the work with {owner}, and record what was agreed, with the owner's reference and words.",
    ATTEND: "Agree with {owner} that somebody of theirs stands by on every day of the permit, and record it.",
    ISOLATE: "Have {owner} make it dead or shut it off, and record who proved it and when.",
}
NOBODYS = "its owner"


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


def asked(frame: Frame) -> list[Asked]:
    """All that owners are to be asked for near this dig, answered or not; nothing where there is no locate, or no need in force."""
    needs = [one for one in in_force(frame.evidence.owners.needs, frame.today) if not one.methods or frame.permit.method in one.methods]
    if not needs or frame.locate is None:
        return []
    return [
        _answered(frame, place, part, need) for place in places(frame) for need in needs if reaches(need, place) for part in place.parts if concerns(need, part)
    ]


# the agreements


def starts(frame: Frame) -> datetime:
    """From when an agreement must hold: from now, or from the permit's start where that is to come."""
    return max(frame.at, frame.permit.valid_from)


def _answered(frame: Frame, place: Place, part: Part, need: Need) -> Asked:
    fitting = [one for one in known(frame) if _for_it(one, need, part)]
    here = _of_the_ground(frame, place, need, fitting)
    counting = [one for one in here if need.needed != ISOLATE or proved(frame, one)]
    spans = [(one, span(frame, one)) for one in counting]
    start, last = starts(frame), frame.permit.valid_to
    ends = unbroken_end([one for _, one in spans], start)
    if not is_after(ends, start) or (need.needed == ATTEND and ends is not None and ends < last):
        why, since = _why(frame, fitting, here, spans, ends)
        return Asked(place, part, need, (), why=why, since=since)
    relied = tuple(pair for pair in spans if _in_time(frame, pair[1]))
    source = max((one.agreement for one, its in spans if its.ends == ends), default="")
    return Asked(place, part, need, relied, ends, source)


def known(frame: Frame) -> list[Agreement]:
    """The agreements that exist by now, by ID."""
    return sorted((one for one in frame.evidence.owners.agreements if one.agreed_at <= frame.at), key=lambda one: one.agreement)


def proved(frame: Frame, agreement: Agreement) -> bool:
    return agreement.proved_at is not None and agreement.proved_at <= frame.at


def span(frame: Frame, agreement: Agreement) -> Span:
    """How long it is good: for whole days, not before it was agreed, and until the start of the day on which it was taken back."""
    begins = max(agreement.agreed_at, day_start(agreement.good_from, frame.zone))
    natural = end_of_day(agreement.good_through, frame.zone)
    cut = None if agreement.withdrawn_on is None else day_start(agreement.withdrawn_on, frame.zone)
    withdrawn = cut is not None and is_after(natural, cut)
    return Span(begins, cut if withdrawn else natural, agreement.agreement, withdrawn)


def _in_time(frame: Frame, its: Span) -> bool:
    """Does it hold when it must, or begin within the permit's time?"""
    start = starts(frame)
    return its.holds(start) or start < its.begins < frame.permit.valid_to


def _for_it(agreement: Agreement, need: Need, part: Part) -> bool:
    """Is it the right owner's, for what is needed, and for this service? Where nobody knows whose a service is, an agreement must name its utility."""
    owner = part.owner or need.owner
    if need.needed not in agreement.agreed or (owner and owner_key(owner) != owner_key(agreement.owner)):
        return False
    if agreement.service:
        return agreement.service in part.same
    return agreement.utility in part.utilities | {need.utility} if agreement.utility else bool(owner)


def _of_the_ground(frame: Frame, place: Place, need: Need, agreements: list[Agreement]) -> list[Agreement]:
    """Those whose area covers the part of the outline that is near; where only a point of it is, or nobody knows where, the whole outline."""
    if all(one.area is None for one in agreements):
        return agreements
    ground: BaseGeometry = frame.permit.outline
    if place.trace is not None:
        near = ground.intersection(grown(place.trace.line, zone_radius(place.trace.width_m, need.within_m, Decimal(0))))
        ground = near if six(near.area) > 0 else ground
    return [one for one in agreements if one.area is None or covers(one.area, ground)]


def _why(
    frame: Frame, fitting: list[Agreement], here: list[Agreement], spans: Sequence[tuple[Agreement, Span]], ends: datetime | None
) -> tuple[str, datetime | None]:
    """Why what is on record does not answer the need, and since when."""
    if not fitting:
        return "nothing is on record", None
    if not here:
        return f"{fitting[-1].agreement} is for other ground", None
    if not spans:
        return f"of {here[-1].agreement} it is not on record who proved it dead or shut off", None
    if is_after(ends, starts(frame)):
        last = max(one.agreement for one, its in spans if its.ends == ends)
        return f"{last} is good through {frame.last_day(ends)}, and the permit runs longer", None
    over = [its for _, its in spans if not is_after(its.ends, starts(frame))]
    if not over:
        first = min((its for _, its in spans), key=lambda its: (its.begins, its.source))
        return f"{first.source} begins only on {frame.from_says(first.begins)}", None
    last = max(over, key=lambda its: (its.ends, its.withdrawn, its.source))
    how = f"taken back on {frame.says(local_day(last.ends, frame.zone))}" if last.withdrawn else f"good through {frame.last_day(last.ends)}"
    return f"{last.source} was {how}", last.ends if last.ends <= frame.at else None


# what is said


def blocks(every: list[Asked]) -> Iterator[Finding]:
    for group in _open(every, blocking=True):
        yield _finding(BLOCKS, "must", group)


def cautions(frame: Frame, every: list[Asked]) -> Iterator[Finding]:
    for row in frame.evidence.owners.needs:
        if row.effective_from > frame.today and day_start(row.effective_from, frame.zone) < frame.permit.valid_to:
            told = f"What owners must be asked for ({row.need}) changes on {frame.says(row.effective_from)}, before this permit ends."
            yield Finding(AHEAD, f"need:{row.need}", told, "End the permit before that day, or see to it that the new need is met by then.")
    for group in _open(every, blocking=False):
        yield _finding(CAUTIONS, "should", group)


def _open(every: Sequence[Asked], *, blocking: bool) -> Iterator[list[Asked]]:
    """What is not answered, by place and what is needed; the widest need of each owner and service once. What blocks already is no caution too."""
    stopped = {(one.place.subject, one.need.needed, one.part) for one in every if one.why and one.need.blocks}
    groups: dict[tuple[str, str], dict[Part, Asked]] = {}
    for one in every:
        known_to_stop = not blocking and (one.place.subject, one.need.needed, one.part) in stopped
        if one.why and one.need.blocks is blocking and not known_to_stop:
            held = groups.setdefault((one.place.subject, one.need.needed), {})
            if one.part not in held or one.need.within_m > held[one.part].need.within_m:
                held[one.part] = one
    yield from (list(held.values()) for held in groups.values())


def _finding(codes: dict[str, str], verb: str, group: list[Asked]) -> Finding:
    first, place = group[0], group[0].place
    reasons = "; ".join(dict.fromkeys(f"{one.owner or 'whose it is, nobody recorded'}: {one.why}" for one in group))
    told = f"The owner {verb} {OWED[first.need.needed]} {where(first)} ({reasons})."
    owners = " and ".join(dict.fromkeys(one.owner or NOBODYS for one in group))
    since = min((one.since for one in group), default=None) if all(one.since for one in group) else None
    return Finding(codes[first.need.needed], place.subject, told, REMEDIES[first.need.needed].format(owner=owners), since)


def where(one: Asked) -> str:
    """Within which distance of what, and how far that is away."""
    place, within = one.place, f"{one.need.within_m.normalize():f}"
    what = place.words + rating_says(one)
    if place.distance_m is None:
        return f"within {within} m of {what}, and where that lies is not known"
    apart = rounded(place.distance_m)
    return f"within {within} m of {what}, which {f'is {apart} m away' if apart else 'reaches into the outline'}"


def rating_says(one: Asked) -> str:
    """Of a need that speaks of a voltage or pressure alone: over which limit the service is, or that nobody recorded it."""
    limits = ((one.need.above_kv, one.part.kilovolts, "kV", "voltage"), (one.need.above_bar, one.part.bars, "bar", "pressure"))
    told = [(limit.normalize(), known, unit, name) for limit, known, unit, name in limits if limit is not None]
    return "".join(
        f" of {known.normalize():f} {unit}, above {limit:f} {unit}" if known is not None else f", of no recorded {name} (asked of those above {limit:f} {unit})"
        for limit, known, unit, name in told
    )


def conditions(frame: Frame) -> Iterator[Condition]:
    for agreement, its in printed(frame):
        yield Condition(AGREED, f"agreement:{agreement.agreement}", _agreed(frame, agreement, its))


def printed(frame: Frame) -> list[tuple[Agreement, Span]]:
    """The agreements that the crew must keep to, whether a need asks for them or not: all that were made for this ground and time. By ID."""
    here = [one for one in known(frame) if one.area is None or meet(one.area, frame.permit.outline)]
    return [(one, its) for one in here if _in_time(frame, its := span(frame, one))]


def _agreed(frame: Frame, agreement: Agreement, its: Span) -> str:
    said = ", ".join(filter(None, (agreement.agreed_with, agreement.reference_no and f"reference {agreement.reference_no}")))
    through = f", good through {frame.last_day(its.ends)}" if its.ends is not None else ""
    words = f": “{' '.join(agreement.conditions.split()).rstrip('.')}”" if agreement.conditions else ""
    return f"Keep to what {agreement.owner} agreed ({agreement.agreement}: {said}{through}): {'; '.join(does(frame, agreement))}{words}."


def does(frame: Frame, agreement: Agreement) -> list[str]:
    """What the owner agreed to do, in words."""
    told = {CONSULT: "it was consulted", ATTEND: "no work near its service without its own person standing by", ISOLATE: "isolation, not proved by now"}
    if proved(frame, agreement):
        told[ISOLATE] = f"isolated, proved by {agreement.proved_by} on {frame.says(agreement.proved_at)}, and taken as live all the same"
    return [told[one] for one in told if one in agreement.agreed]


def limits(every: list[Asked]) -> list[Limit]:
    """When the agreements that a sign-off rests on end."""
    return [
        Limit(one.ends, f"agreement:{one.source}", f"the agreement {one.source} of {one.owner or NOBODYS}")
        for one in every
        if one.need.blocks and not one.why and one.ends is not None
    ]
