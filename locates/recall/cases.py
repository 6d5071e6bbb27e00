"""Each doubt with the locates and permits that rested on it, how they stand now, and what was decided of them; as far as a reader may see."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import reduce
from operator import or_

from django.db.models import Q

from locates.instruments.books import CALIBRATIONS, CHECKS
from locates.life.rules.acts import ACCEPTED, BETWEEN, ISSUED, SUSPENDED
from locates.life.rules.story import Life
from locates.permits.lists import TIES
from locates.permits.models import Permit
from locates.recall.facts import EVERYTHING, Asked, doubt_of, doubts
from locates.recall.models import Decision
from locates.recall.resting import Scene, concerned, scene
from locates.recall.rules.decided import COLUMN_OF, FINDINGS, SUBJECTS
from locates.recall.rules.doubts import AWARD, CALIBRATION, CHECK, PLAN, Doubt
from locates.recall.rules.reach import LOCATE, PERMIT, Resting, rested
from locates.surveys.books import LOCATES, WRONG_PLANS
from locates.surveys.models import Locate
from records.access import may, within
from records.firm.models import Person
from records.rules.words import INSTRUMENT_KINDS
from training.books import AWARDS

BOOKS = {CALIBRATION: CALIBRATIONS, CHECK: CHECKS, AWARD: AWARDS, PLAN: WRONG_PLANS}
LIVE, HELD, UNACCEPTED, OVER, UNUSED = range(5)
RANKS = {ACCEPTED: LIVE, BETWEEN: LIVE, SUSPENDED: HELD, ISSUED: UNACCEPTED}
Subject = tuple[str, str]  # whether it is a locate or a permit, and its name
Made = dict[tuple[str, str, Subject], list[Decision]]  # by the kind and key of the doubt, and of what was decided


@dataclass(frozen=True)
class Item:
    """A locate or permit that rested on the thing. `rank`: how far its permit, or the most urgent of the locate's, is from being dug by.

    `decisions`: the latest first. `life`: of a permit.
    """

    resting: Resting
    record: Locate | Permit
    rank: int
    decisions: tuple[Decision, ...]
    life: Life | None

    @property
    def subject(self) -> Subject:
        return self.resting.kind, self.resting.key

    @property
    def live(self) -> bool:
        """May anyone dig by it now, as far as its life goes?"""
        return self.resting.kind == PERMIT and self.rank == LIVE

    @property
    def decision(self) -> Decision | None:
        return next(iter(self.decisions), None)

    @property
    def undecided(self) -> bool:
        return not self.decisions and not self.resting.before

    @property
    def began(self) -> datetime:
        return self.record.started_at if self.resting.kind == LOCATE else self.record.valid_from


@dataclass(frozen=True)
class Case:
    """A doubt with all that rested on it, in the order in which it is dealt with: what anyone may dig by first."""

    doubt: Doubt
    items: tuple[Item, ...]

    @property
    def live(self) -> frozenset[str]:
        """The permits by which anyone may dig now."""
        return frozenset(one.resting.key for one in self.items if one.live and not one.resting.before)

    @property
    def undecided(self) -> int:
        return sum(one.undecided for one in self.items)

    @property
    def bearing(self) -> bool:
        """Did anything rest on it once it was in doubt?"""
        return any(not one.resting.before for one in self.items)


def every_case(reader: Person, at: datetime) -> list[Case]:
    """All that are on record and on which something rested that the reader may see: those with live permits first, then those undecided, the latest first."""
    found = [one for one in cases(seen(doubts(EVERYTHING, at), reader, at), reader, at) if one.bearing]
    by_day = sorted(found, key=lambda one: (one.doubt.found.isoformat(), one.doubt.key), reverse=True)
    return sorted(by_day, key=lambda one: (not one.live, not one.undecided))


def seen(known: Sequence[Doubt], reader: Person, at: datetime) -> list[Doubt]:
    """Those whose finding the reader may see."""
    shown: set[tuple[str, str]] = set()
    for kind, book in BOOKS.items():
        rows = book.model._default_manager.filter(pk__among=[one.key for one in known if one.kind == kind])
        if may(reader, book.see):
            shown |= {(kind, key) for key in within(rows, reader, book.see, book.ties, at).values_list("pk", flat=True)}
    return [one for one in known if (one.kind, one.key) in shown]


def live_in(some: Iterable[Case]) -> int:
    """How many live permits there are in the cases; one may be in several of them."""
    return len(frozenset().union(*(one.live for one in some)))


def case_of(kind: str, key: str, reader: Person, at: datetime) -> Case | None:
    """The case of one finding; None where it casts no doubt."""
    found = doubt_of(kind, key, at)
    return next(iter(cases([found], reader, at)), None) if found else None


def of_locate(locate: Locate, reader: Person, at: datetime) -> list[Case]:
    """The cases in which the locate is."""
    upon = list(Permit.objects.filter(locate=locate).values_list("pk", flat=True))
    return _in_which((LOCATE, locate.pk), Asked(_kit(locate), {locate.operator_id}, {locate.site_id}), ([locate.pk], upon), reader, at)


def of_permit(permit: Permit, reader: Person, at: datetime) -> list[Case]:
    """The cases in which the permit is."""
    locate = permit.locate
    people = _people(permit) | ({locate.operator_id} if locate else set())
    asked = Asked(_kit(locate) if locate else (), people, {permit.site_id, *([locate.site_id] if locate else [])})
    return _in_which((PERMIT, permit.pk), asked, ([locate.pk] if locate else [], [permit.pk]), reader, at)


def _in_which(subject: Subject, asked: Asked, only: tuple[Collection[str], Collection[str]], reader: Person, at: datetime) -> list[Case]:
    """The cases in which it is, each with nothing else; doubts are looked for among what it names, and no farther."""
    found = cases(doubts(asked, at), reader, at, only)
    mine = (replace(one, items=tuple(item for item in one.items if item.subject == subject and not item.resting.before)) for one in found)
    return [one for one in mine if one.items]


def _kit(locate: Locate) -> set[str]:
    return {name for kind in INSTRUMENT_KINDS if (name := getattr(locate, f"{kind}_id"))}


def _people(permit: Permit) -> set[str]:
    took_over = permit.steps.filter(act="take_over").values_list("person_id", flat=True)
    return {permit.issuer_id, permit.receiver_id, *permit.crew.values_list("pk", flat=True), *took_over}


def cases(known: Sequence[Doubt], reader: Person, at: datetime, only: tuple[Collection[str], Collection[str]] | None = None) -> list[Case]:
    """Of these doubts. `only`: with no other locates and permits than these."""
    if not known:
        return []
    stage = scene(concerned(known), at, only)
    shown = _visible(stage, reader, at)
    made = decisions(known)
    ranks = _ranks(stage)
    return [Case(one, tuple(_items(one, stage, shown, ranks, made))) for one in known]


def _visible(stage: Scene, reader: Person, at: datetime) -> set[Subject]:
    permits = within(Permit.objects.filter(permit__among=stage.permits), reader, "permit.see", TIES, at)
    locates = within(Locate.objects.filter(locate__among=stage.locates), reader, LOCATES.see, LOCATES.ties, at)
    return {(PERMIT, key) for key in permits.values_list("pk", flat=True)} | {(LOCATE, key) for key in locates.values_list("pk", flat=True)}


def _ranks(stage: Scene) -> dict[Subject, int]:
    ranks = {(PERMIT, key): RANKS.get(life.state, OVER) for key, life in stage.standing.items()}
    for one in stage.held:
        if one.locate:
            ranks[LOCATE, one.locate] = min(ranks.get((LOCATE, one.locate), UNUSED), ranks[PERMIT, one.permit])
    return ranks


def _items(doubt: Doubt, stage: Scene, shown: set[Subject], ranks: dict[Subject, int], made: Made) -> list[Item]:
    records = {PERMIT: stage.permits, LOCATE: stage.locates}
    found = []
    for one in rested(doubt, stage.searched, stage.held, stage.narrowed):
        subject = (one.kind, one.key)
        if subject in shown:
            life = stage.standing.get(one.key) if one.kind == PERMIT else None
            found.append(Item(one, records[one.kind][one.key], ranks.get(subject, UNUSED), tuple(made.get((doubt.kind, doubt.key, subject), ())), life))
    latest_first = sorted(found, key=lambda one: (one.began, one.resting.key), reverse=True)
    return sorted(latest_first, key=lambda one: (one.resting.before, one.resting.kind == LOCATE, one.rank))


def decisions(known: Iterable[Doubt]) -> Made:
    """What was decided upon each doubt of each locate or permit, the latest first: upon any of its findings, for one entered late can come before the rest."""
    keys: dict[str, list[str]] = defaultdict(list)
    doubt_by = {(one.kind, key): one.key for one in known for key in one.keys}
    for kind, key in doubt_by:
        keys[COLUMN_OF[kind]].append(key)
    upon = reduce(or_, (Q(**{f"{column}__pk__among": some}) for column, some in keys.items()))
    found: Made = defaultdict(list)
    for one in Decision.objects.filter(upon).select_related("person").order_by("-decided_at", "-recorded_at", "-pk"):
        kind, key = next((kind, key) for column, kind in FINDINGS.items() if (key := getattr(one, f"{column}_id")))
        subject = next((what, name) for what in SUBJECTS if (name := getattr(one, f"{what}_id")))
        found[kind, doubt_by[kind, key], subject].append(one)
    return found
