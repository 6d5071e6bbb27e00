"""Emergency work: which permits are for it, when it was over, and whether it was followed up; for one or ten thousand, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from shapely import from_wkt

from locates.permits import since
from locates.permits.among import signed_at
from locates.permits.models import Emergency, FollowUp, Permit
from locates.permits.rules import evidence as e
from locates.permits.rules.emergency import FOLLOW_UP_DAYS, follow_up_ends
from locates.permits.rules.signing import ACCEPT
from records.base import ByCodePoint
from records.firm.models import Rule
from records.rules.dates import last_day_says, local_day
from records.rules.numbers import InForce, Row


def rows_of(permits: Iterable[str]) -> dict[str, Emergency]:
    """Of these permits those that are for emergency work, each with when it was accepted, None before that."""
    return {row.permit_id: row for row in Emergency.objects.filter(permit__permit__among=list(permits)).annotate(accepted_at=signed_at(ACCEPT))}


def accepted() -> QuerySet[Permit]:
    """The permits for emergency work that both have signed: by these somebody may have dug."""
    return Permit.objects.filter(emergency__isnull=False, sign_offs__meaning=ACCEPT)


@dataclass(frozen=True, slots=True)
class Done:
    """Emergency work that both signed, the second at `accepted_at`: when it was or will be over, when it was first followed up after that, and since when
    that is or will be overdue.
    """

    permit: Permit
    zone: ZoneInfo
    accepted_at: datetime
    over_at: datetime
    followed_up_at: datetime | None
    overdue_at: datetime

    def owed(self, at: datetime) -> bool:
        """Is it over, and not followed up by now?"""
        return self.over_at <= at and (self.followed_up_at is None or self.followed_up_at > at)

    def overdue(self, at: datetime) -> bool:
        return self.owed(at) and self.overdue_at <= at

    @property
    def last_day(self) -> str:
        """The last good day for its follow-up."""
        return last_day_says(self.overdue_at, self.zone)


def work(permits: QuerySet[Permit], at: datetime) -> list[Done]:
    """Of these the emergency work that both signed, what falls overdue first before the rest."""
    found = accepted().filter(pk__in=permits.values("pk")).annotate(accepted_at=signed_at(ACCEPT))
    found = found.select_related("site", "issuer", "emergency__decided_by")
    rows = list(since.with_ends(found).order_by(ByCodePoint("permit")))
    over, days = over_at(rows), _days({row.site.rule_set_id for row in rows})
    done = _followed_up(over)
    made = []
    for row in rows:
        zone = ZoneInfo(row.site.time_zone)
        through = InForce(days.get(row.site.rule_set_id, ()), local_day(at, zone)).whole(FOLLOW_UP_DAYS)
        made.append(Done(row, zone, row.accepted_at, over[row.pk], done.get(row.pk), follow_up_ends(over[row.pk], through, zone)))
    return sorted(made, key=lambda one: (one.overdue_at, one.permit.pk))


def due(at: datetime) -> list[Done]:
    """Emergency work of the whole firm that is over and to be followed up, and still in time."""
    return [one for one in work(Permit.objects.all(), at) if one.owed(at) and not one.overdue(at)]


def overdue(at: datetime) -> list[Done]:
    """Emergency work of the whole firm whose follow-up is overdue."""
    return [one for one in work(Permit.objects.all(), at) if one.overdue(at)]


def over_at(rows: Collection[Any]) -> dict[str, datetime]:
    """When each of the permits, which come with their `ends`, was or will be over: ended by somebody, or by its time."""
    told = since.over_at(row.pk for row in rows)
    return {row.pk: min(row.ends, told.get(row.pk, row.ends)) for row in rows}


def _followed_up(over: dict[str, datetime]) -> dict[str, datetime]:
    """When each was first followed up once it was over; what was told before counts for nothing."""
    found: dict[str, datetime] = {}
    rows = FollowUp.objects.filter(permit__permit__permit__among=list(over)).order_by("-done_at", "-number")
    for permit, done_at in rows.values_list("permit", "done_at"):
        if done_at >= over[permit]:
            found[permit] = done_at
    return found


def _days(rule_sets: Collection[str]) -> dict[str, list[Row]]:
    """By rule set the rows of how many days a follow-up may take."""
    found: dict[str, list[Row]] = defaultdict(list)
    for row in Rule.objects.filter(rule_set__pk__among=list(rule_sets), key=FOLLOW_UP_DAYS).order_by("effective_from"):
        found[row.rule_set_id].append(Row(row.key, row.effective_from, row.value, row.source))
    return found


def digs(sites: Collection[str]) -> dict[str, tuple[e.Dug, ...]]:
    """By site the emergency digs that both signed."""
    if not sites:
        return {}
    rows = list(since.with_ends(accepted().filter(site__site__among=list(sites))).order_by(ByCodePoint("permit")))
    over = over_at(rows)
    done = _followed_up(over)
    found: dict[str, list[e.Dug]] = defaultdict(list)
    for row in rows:
        found[row.site_id].append(e.Dug(row.pk, from_wkt(row.outline), over[row.pk], done.get(row.pk)))
    return {site: tuple(every) for site, every in found.items()}
