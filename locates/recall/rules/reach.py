"""Which locates and permits rested on a thing while it was in doubt."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from shapely.geometry.base import BaseGeometry

from locates.recall.rules.doubts import AWARD, PLAN, ByCalibration, ByCheck, ByPlan, ByWithdrawal, Doubt
from records.rules.dates import day_start, is_after
from records.rules.words import TASKS

LOCATE, PERMIT = "locate", "permit"
ISSUES, RECEIVES, DIGS = TASKS


@dataclass(frozen=True, slots=True)
class Searched:
    """A locate: when, by whom, by which techniques, with which instruments (the kind that each was needed as, and its name), over which ground.

    `ended`: when it was finished, or now.
    """

    locate: str
    site: str
    zone: ZoneInfo
    operator: str
    began: datetime
    ended: datetime
    techniques: frozenset[str]
    kit: tuple[tuple[str, str], ...]
    ground: BaseGeometry


@dataclass(frozen=True, slots=True)
class Held:
    """A signed permit: its people, when it was signed or stepped upon a verdict, and until when anyone dug by it, or may.

    `ground`: its outline with the margin that it needs.
    """

    permit: str
    site: str
    zone: ZoneInfo
    locate: str
    issuer: str
    receivers: frozenset[str]
    crew: frozenset[str]
    signed: tuple[datetime, ...]
    over: datetime
    ground: BaseGeometry


@dataclass(frozen=True, slots=True)
class Resting:
    """A locate or permit that rested on the thing, and by what. `before`: only by what was done before the thing was withdrawn."""

    kind: str
    key: str
    how: str
    before: bool = False


def rested(doubt: Doubt, searched: Collection[Searched], held: Collection[Held], narrowed: Collection[str] = ()) -> list[Resting]:
    """All that rested on it. `narrowed`: the sites at which a passed check is proof that an instrument was good."""
    if doubt.kind == PLAN:
        return list(_on_a_plan(doubt, searched, held))
    if doubt.kind == AWARD:
        return list(_on_an_award(doubt, searched, held))
    return list(_on_an_instrument(doubt, searched, held, narrowed))


def _on_an_instrument(doubt: ByCalibration | ByCheck, searched: Iterable[Searched], held: Iterable[Held], narrowed: Collection[str]) -> Iterator[Resting]:
    found: set[str] = set()
    for one in searched:
        used = [kind for kind, name in one.kit if name == doubt.instrument]
        if used and doubt.holds(one.began, one.ended, one.zone, one.site in narrowed):
            found.add(one.locate)
            yield Resting(LOCATE, one.locate, f"its {' and '.join(used)}")
    yield from (Resting(PERMIT, one.permit, f"locate {one.locate}") for one in held if one.locate in found)


def _on_a_plan(doubt: ByPlan, searched: Iterable[Searched], held: Iterable[Held]) -> Iterator[Resting]:
    found = {one.locate for one in searched if one.site == doubt.site and _with_the_plan(doubt, one.ground, one.began)}
    yield from (Resting(LOCATE, one, "the plans at hand when it began") for one in sorted(found))
    for one in held:
        if one.locate in found:
            yield Resting(PERMIT, one.permit, f"locate {one.locate}")
        elif one.site == doubt.site and any(is_after(doubt.dropped, at) and _with_the_plan(doubt, one.ground, at) for at in _counted(doubt, one)):
            yield Resting(PERMIT, one.permit, "the plans that counted for it")


def _counted(doubt: ByPlan, one: Held) -> Iterator[datetime]:
    """When answers counted for a permit: each time it was signed, and when this one was found wrong, if it was live then."""
    yield from one.signed
    if one.signed[0] <= doubt.found < one.over:
        yield doubt.found


def _with_the_plan(doubt: ByPlan, ground: BaseGeometry, instant: datetime) -> bool:
    return doubt.counts.holds(instant) and doubt.meets(ground) and not doubt.made_good(ground, instant)


def _on_an_award(doubt: ByWithdrawal, searched: Iterable[Searched], held: Collection[Held]) -> Iterator[Resting]:
    theirs = {one.locate: things for one in searched if one.operator == doubt.person and (things := one.techniques & doubt.again.keys())}
    needed: set[str] = set()
    for one in held:
        parts = dict(_parts(doubt, one, theirs))
        since = [thing for thing in parts if _since(doubt, thing, one.signed[0], one.over, one.zone)]
        if since and any(thing in theirs.get(one.locate, ()) for thing in since):
            needed.add(one.locate)
        if since or (parts and _before(doubt, one.signed[0], one.over, one.zone)):
            yield Resting(PERMIT, one.permit, parts[since[0]] if since else next(iter(parts.values())), not since)
    for one in searched:
        if things := theirs.get(one.locate):
            since = one.locate in needed or any(_since(doubt, thing, one.began, one.ended, one.zone) for thing in things)
            if since or _before(doubt, one.began, one.ended, one.zone):
                yield Resting(LOCATE, one.locate, "its operator", not since)


def _before(doubt: ByWithdrawal, begins: datetime, ends: datetime, zone: ZoneInfo) -> bool:
    """Had it begun before the withdrawal, and not ended before the award?"""
    return begins < day_start(doubt.found, zone) and ends > day_start(doubt.awarded_on, zone)


def _parts(doubt: ByWithdrawal, one: Held, theirs: dict[str, frozenset[str]]) -> Iterator[tuple[str, str]]:
    """What the person was to the permit: the thing that each part needed the award for, and the part."""
    person, things = doubt.person, doubt.again
    if ISSUES in things and one.issuer == person:
        yield ISSUES, "its issuer"
    if RECEIVES in things and person in one.receivers:
        yield RECEIVES, "its receiver"
    if DIGS in things and person in one.crew:
        yield DIGS, "its crew"
    yield from ((thing, f"the operator of locate {one.locate}") for thing in sorted(theirs.get(one.locate, ())))


def _since(doubt: ByWithdrawal, thing: str, begins: datetime, ends: datetime, zone: ZoneInfo) -> bool:
    """Did it go on into the time without the award: from the day of the withdrawal until another award came?"""
    again = doubt.again[thing]
    return ends > day_start(doubt.found, zone) and (again is None or begins < day_start(again, zone))
