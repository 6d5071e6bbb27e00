"""What permits are to one another: which follows which, and which are issued upon near ground; for one or ten thousand, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import OuterRef, Q, QuerySet, Subquery
from shapely import STRtree, from_wkt

from locates.permits import since
from locates.permits.models import Following, Permit, SignOff
from locates.permits.rules import evidence as e
from locates.permits.rules.signing import ACCEPT, ISSUE
from records.base import ByCodePoint
from records.firm.models import Person

Span = tuple[datetime, datetime]


@dataclass(frozen=True)
class Issued:
    """The permits of one site that somebody issued and nobody has ended, laid out so that those near an outline are found at once."""

    every: tuple[e.Beside, ...]
    tree: STRtree

    def near(self, permit: e.Permit) -> tuple[e.Beside, ...]:
        """Those whose ground meets the permit's, but for itself."""
        found = (self.every[at] for at in sorted(self.tree.query(permit.outline, predicate="intersects")))
        return tuple(one for one in found if one.permit != permit.permit)


def signed_at(meaning: str) -> Subquery:
    """When a permit was signed with this meaning; also for rows whose own key is a permit's."""
    return Subquery(SignOff.objects.filter(permit=OuterRef("pk"), meaning=meaning).values("signed_at")[:1])


def issued(sites: Collection[str], span: Span) -> dict[str, Issued]:
    """By site the issued permits that nobody has ended and whose time meets the span."""
    rows = since.not_over(since.with_ends(Permit.objects.filter(site__site__among=list(sites), valid_from__lt=span[1])))
    told = rows.annotate(issued_at=signed_at(ISSUE)).filter(issued_at__isnull=False, ends__gt=span[0]).order_by(ByCodePoint("permit"))
    found: dict[str, list[e.Beside]] = defaultdict(list)
    for site, permit, outline, *times in told.values_list("site_id", "permit", "outline", "issued_at", "valid_from", "ends"):
        found[site].append(e.Beside(permit, from_wkt(outline), *times))
    return {site: Issued(tuple(every), STRtree([one.outline for one in every])) for site, every in found.items()}


@dataclass(frozen=True, slots=True)
class Followings:
    """By permit the one that it follows, and those that follow it, each with when it was issued."""

    before: dict[str, e.Before]
    followers: dict[str, tuple[e.After, ...]]


def followings(permits: Collection[str]) -> Followings:
    """Of those of the permits that follow others or are followed by others that are issued, and were not withdrawn before they were accepted."""
    rows = list(Following.objects.filter(Q(permit__permit__among=permits) | Q(follows__permit__among=permits)).order_by(ByCodePoint("permit_id")))
    if not rows:
        return Followings({}, {})
    issues = dict(SignOff.objects.filter(meaning=ISSUE, permit__permit__among=[row.permit_id for row in rows]).values_list("permit_id", "signed_at"))
    followers: dict[str, list[e.After]] = defaultdict(list)
    gone = withdrawn(issues)
    for row in rows:
        if row.permit_id in issues.keys() - gone:
            followers[row.follows_id].append(e.After(row.permit_id, issues[row.permit_id]))
    named = [row for row in rows if row.permit_id in set(permits)]
    olds = as_they_stand({row.follows_id for row in named})
    before = {row.permit_id: _before(olds[row.follows_id], row.why, row.changed) for row in named}
    return Followings(before, {key: tuple(every) for key, every in followers.items()})


def withdrawn(issued: Collection[str]) -> set[str]:
    """Of these issued permits those that somebody ended before anybody accepted them: by these nobody ever digs."""
    if not issued:
        return set()
    waiting = set(issued) - set(SignOff.objects.filter(meaning=ACCEPT, permit__permit__among=list(issued)).values_list("permit_id", flat=True))
    return set(since.over_at(waiting)) if waiting else set()


def _before(old: e.Before, why: str, changed: str) -> e.Before:
    return e.Before(old.permit, old.issued_at, old.accepted_at, old.over_at, why, changed)


def as_they_stand(permits: Collection[str]) -> dict[str, e.Before]:
    """These permits as others may follow them: as they were signed, with their last end and receiver. People come without their awards."""
    rows = list(_signed(Permit.objects.filter(permit__among=list(permits))))
    crews: dict[str, list[str]] = defaultdict(list)
    for permit, person in Permit.crew.through.objects.filter(permit__permit__among=[row.pk for row in rows]).values_list("permit_id", "person_id"):
        crews[permit].append(person)
    terms = {row.pk: (row.receiver_id, row.valid_to) for row in rows} | since.terms(row.pk for row in rows)
    named = {one for row in rows for one in (row.issuer_id, terms[row.pk][0], *crews[row.pk])}
    people = {row.pk: e.Person(row.pk, row.name) for row in Person.objects.filter(person__among=named)}
    over = since.over_at(row.pk for row in rows)
    return {row.pk: e.Before(_permit(row, *terms[row.pk], people, crews[row.pk]), row.issued_at, row.accepted_at, over.get(row.pk)) for row in rows}


def _signed(rows: QuerySet[Permit]) -> QuerySet[Permit]:
    return rows.annotate(issued_at=signed_at(ISSUE), accepted_at=signed_at(ACCEPT))


def _permit(row: Permit, receiver: str, ends: datetime, people: dict[str, e.Person], crew: Iterable[str]) -> e.Permit:
    outline, crewed = from_wkt(row.outline), tuple(people[one] for one in sorted(crew))
    return e.Permit(row.pk, row.work, outline, row.depth_m, row.method, row.valid_from, ends, people[row.issuer_id], people[receiver], crewed)
