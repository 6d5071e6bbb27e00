"""Diaries of digs, and whether a look-over is owed: for one permit or ten thousand, in a fixed number of queries."""

import json
from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from locates.instruments.facts import histories
from locates.life.facts import lives
from locates.life.models import Step
from locates.life.rules import acts
from locates.life.rules.acts import ACCEPTED, RESUME, TAKE_OVER, WORKING
from locates.life.rules.story import Life
from locates.lookovers.models import DiaryRow
from locates.lookovers.rules.again import Swept, doubts, next_depth
from locates.lookovers.rules.owed import Owed, owed
from locates.lookovers.rules.words import CREW, EVENT, ISSUER, LOOK_OVER, NAMED, OPERATOR, RECEIVER, RESUMED, SHIFT, SWEEP
from locates.permits.models import Permit, SignOff
from locates.permits.rules.evidence import Person as OnRecord
from locates.permits.since import signed_last
from locates.rules.fitness import Instrument
from records.access import Ties
from records.firm.facts import in_force, in_force_at
from records.firm.models import Person
from training.facts import awards_of

SEE = "diary.see"
TIES = Ties((), "permit__site")
AGAIN, CHECK = "resweep_depth_m", "check_valid_hours"
HOLDERS = (acts.ISSUER, acts.RECEIVER, acts.NAMED, acts.OTHERS)


def rows_of(permits: Collection[str]) -> dict[str, list[DiaryRow]]:
    """The diary of each permit that has one, in the order in which things happened."""
    found: dict[str, list[DiaryRow]] = defaultdict(list)
    for one in every().filter(permit__permit__among=list(permits)).order_by("happened_at", "number"):
        found[one.permit_id].append(one)
    return found


def every() -> QuerySet[DiaryRow]:
    """Rows with all that is said of them, the latest first."""
    return DiaryRow.objects.select_related("permit__site", "hole__trace", "stop").order_by("-happened_at", "-pk")


def life_then(permit: Permit, then: datetime) -> Life:
    """How the permit stood at the instant, whatever came later."""
    return lives([permit], then, by_then=True)[permit.pk]


def owners_agreed(permit: str) -> bool:
    """Does the sheet that was signed last bear what owners of services agreed to?"""
    told = signed_last(permit)
    if not told:
        told = SignOff.objects.filter(permit=permit).order_by("-signed_at", "-pk").values_list("sheet", flat=True).first()
    return bool(told and json.loads(told).get("owners", {}).get("agreements"))


def part_of(permit: Permit, life: Life, person: str) -> str:
    """What the person is to the permit, as it stands so; "" for somebody who is nothing to it."""
    own = {ISSUER: life.issuer, RECEIVER: life.receiver, NAMED: life.named}
    if found := next((part for part, holder in own.items() if holder == person), ""):
        return found
    if person not in life.others:
        return ""
    return OPERATOR if permit.locate is not None and permit.locate.operator_id == person else CREW


def on_it(life: Life, person: str) -> bool:
    """Has the person any part in the permit, as it stands so?"""
    return any(person in life.holding(part) for part in HOLDERS)


def may_write(life: Life, person: str) -> bool:
    """May the person write in its diary, as it stands so?"""
    return life.state in WORKING and on_it(life, person)


def owed_by(permits: Collection[str], at: datetime) -> dict[str, tuple[Owed, Life]]:
    """The look-over that is owed by each permit that is dug by at the instant, and how that permit stands."""
    rows = {row.pk: row for row in Permit.objects.filter(permit__among=list(permits), valid_from__lte=at).select_related("site")}
    standing = lives(rows.values(), at)
    live = [key for key in rows if standing[key].state == ACCEPTED]
    looked, causes = _looked(live), _causes(live)
    found = {key: owed(looked[key], causes[key], at, ZoneInfo(rows[key].site.time_zone)) for key in live}
    return {key: (one, standing[key]) for key, one in found.items() if one is not None}


def unlooked(permits: QuerySet[Permit], at: datetime) -> list[str]:
    """Those of the permits that are dug by though a look-over is owed, by name."""
    return sorted(owed_by(list(permits.filter(valid_from__lte=at, ends__gt=at).values_list("pk", flat=True)), at))


def open_to(permits: Collection[str], person: Person, at: datetime) -> list[str]:
    """Those of the permits in whose diary the person may write now, in their order."""
    found = lives(Permit.objects.filter(permit__among=list(permits)), at)
    return [one for one in permits if may_write(found[one], person.pk)]


def occasion_of(permit: Permit, then: datetime) -> Owed | None:
    """The look-over that was owed by the permit then, begun or not."""
    return owed(_looked([permit.pk])[permit.pk], _causes([permit.pk])[permit.pk], then, ZoneInfo(permit.site.time_zone))


def _looked(permits: Collection[str]) -> dict[str, list[datetime]]:
    """When each was looked over and all was as it should be."""
    found: dict[str, list[datetime]] = defaultdict(list)
    rows = DiaryRow.objects.filter(permit__permit__among=list(permits), kind=LOOK_OVER, wrong="")
    for permit, when in rows.values_list("permit_id", "happened_at"):
        found[permit].append(when)
    return found


def _causes(permits: Collection[str]) -> dict[str, list[tuple[str, datetime]]]:
    """What made a new look-over owed."""
    found: dict[str, list[tuple[str, datetime]]] = defaultdict(list)
    rows = DiaryRow.objects.filter(permit__permit__among=list(permits), kind=EVENT)
    for permit, occasion, when in rows.values_list("permit_id", "occasion", "happened_at"):
        found[permit].append((occasion, when))
    again = {TAKE_OVER: SHIFT, RESUME: RESUMED}
    steps = Step.objects.filter(permit__permit__among=list(permits), act__in=again)
    for permit, act, when in steps.values_list("permit_id", "act", "done_at"):
        found[permit].append((again[act], when))
    return found


# sweeping again


@dataclass(frozen=True, slots=True)
class Again:
    """What is known of the sweeps of a diary: by row why it does not count, and at which depth the next is owed, `each` so much deeper."""

    doubts: dict[int, list[str]]
    next_m: Decimal | None
    each_m: Decimal


def again(permit: Permit, rows: Collection[DiaryRow], at: datetime) -> Again:
    """The sweeps of the permit's diary, and what follows for the next."""
    each, found = in_force(permit.site, at).number(AGAIN), doubted(rows, at)
    reached = [row.depth_m for row in rows if row.kind == SWEEP and not found[row.pk]]
    return Again(found, next_depth(reached, each, permit.depth_m), each)


def doubted(rows: Collection[DiaryRow], at: datetime) -> dict[int, list[str]]:
    """By sweep why it does not count, by what is on record now and the numbers in force. Six queries, for any number."""
    swept = [row for row in rows if row.kind == SWEEP]
    people, kit = _people({row.person_id for row in swept}), histories({row.receiver_id for row in swept})
    numbers = in_force_at(list({row.permit.site_id: row.permit.site for row in swept}.values()), at)
    return {row.pk: _doubts(row, people, kit, numbers[row.permit.site_id].whole(CHECK), at) for row in swept}


def _doubts(row: DiaryRow, people: dict[str, OnRecord], kit: dict[str, Instrument], hours: int, at: datetime) -> list[str]:
    swept = Swept(people[row.person_id], row.techniques, kit[row.receiver_id], row.happened_at)
    return doubts(swept, hours, ZoneInfo(row.permit.site.time_zone), at)


def _people(keys: Collection[str]) -> dict[str, OnRecord]:
    awards = awards_of(keys)
    return {row.pk: OnRecord(row.pk, row.name, row.left_on, awards.get(row.pk, ())) for row in Person.objects.filter(person__among=list(keys))}
