"""What the owners of services near the dig must have agreed to, by the needs of the site's rule set: where that has none, nothing.

The distance is that from the outline to the service's edge, as for hand digging. A service that no trace names and that nobody says lies outside
the dig could be anywhere: it is taken as near.
"""

from collections.abc import Iterator, Sequence

from locates.owners.rules.terms import ATTEND, CONSULT, ISOLATE, OWED, Agreement, in_force
from locates.permits.rules.agreed import Asked, Held, answered
from locates.permits.rules.frame import Frame
from locates.permits.rules.owned import Part, concerns, places, reaches
from locates.permits.rules.window import Limit
from records.rules.cover import Span
from records.rules.dates import day_start
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


def asked(frame: Frame) -> list[Asked]:
    """All that owners are to be asked for near this dig, answered or not; nothing where there is no locate, or no need in force."""
    needs = [one for one in in_force(frame.evidence.owners.needs, frame.today) if not one.methods or frame.permit.method in one.methods]
    if not needs or frame.locate is None:
        return []
    held = Held(frame)
    near = ((place, need) for place in places(frame) for need in needs if reaches(need, place))
    return [answered(held, place, part, need) for place, need in near for part in place.parts if concerns(need, part)]


# what is said


def blocks(every: list[Asked]) -> Iterator[Finding]:
    for group in _open(every, blocking=True):
        yield _finding(BLOCKS, "must", group)


def cautions(frame: Frame, every: list[Asked]) -> Iterator[Finding]:
    for row in sorted(frame.evidence.owners.needs, key=lambda one: (one.need, one.effective_from)):
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
    held = Held(frame)
    for agreement, its in held.printed():
        yield Condition(AGREED, f"agreement:{agreement.agreement}", _agreed(held, agreement, its))


def _agreed(held: Held, agreement: Agreement, its: Span) -> str:
    said = ", ".join(filter(None, (agreement.agreed_with, agreement.reference_no and f"reference {agreement.reference_no}")))
    through = f", good through {held.frame.last_day(its.ends)}" if its.ends is not None else ""
    words = f": “{' '.join(agreement.conditions.split()).rstrip('.')}”" if agreement.conditions else ""
    return f"Keep to what {agreement.owner} agreed ({agreement.agreement}: {said}{through}): {'; '.join(does(held, agreement))}{words}."


def does(held: Held, agreement: Agreement) -> list[str]:
    """What the owner agreed to do, in words."""
    told = {CONSULT: "it was consulted", ATTEND: "no work near its service without its own person standing by", ISOLATE: "isolation, not proved by now"}
    if held.proved(agreement):
        told[ISOLATE] = f"isolated, proved by {agreement.proved_by} on {held.frame.says(agreement.proved_at)}, and taken as live all the same"
    return [told[one] for one in told if one in agreement.agreed]


def limits(every: list[Asked]) -> list[Limit]:
    """When the agreements that a sign-off rests on end."""
    return [
        Limit(one.ends, f"agreement:{one.source}", f"the agreement {one.source} of {one.owner or NOBODYS}")
        for one in every
        if one.need.blocks and not one.why and one.ends is not None
    ]
