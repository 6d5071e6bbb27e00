"""Stored awards as the arithmetic of cover needs them, for any number of people at once."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import date, datetime
from zoneinfo import ZoneInfo

from records.base import ByCodePoint
from records.firm.facts import posted_now
from records.firm.models import Person
from records.rules.cover import Award as CoverAward
from records.rules.dates import local_day
from training.models import Award, Need
from training.rules.matrix import Row
from training.rules.needs import Row as NeedRow
from training.rules.needs import in_force, needed
from training.rules.standing import Standing, standings


def awards_of(people: Collection[str]) -> dict[str, tuple[CoverAward, ...]]:
    """Every award of each of the people, by identifier. One query."""
    groups: dict[str, list[CoverAward]] = defaultdict(list)
    for row in Award.objects.filter(person__pk__among=people).select_related("course").order_by(ByCodePoint("award")):
        groups[row.person_id].append(cover_award(row))
    return {person: tuple(awards) for person, awards in groups.items()}


def cover_award(row: Award) -> CoverAward:
    return CoverAward(
        row.pk,
        frozenset(row.course.authorises),
        row.awarded_on,
        row.course.valid_months,
        row.expires_on,
        row.withdrawn_on,
        row.course.title,
        row.certificate_no,
    )


def needs_in_force(day: date) -> dict[str, tuple[str, ...]]:
    """What each role needs on the day."""
    return in_force([NeedRow(one.role, one.effective_from, one.authorises) for one in Need.objects.filter(effective_from__lte=day)], day)


def rows_of(people: Iterable[Person], zone: ZoneInfo, at: datetime) -> list[Row]:
    """How each of the people stands on the day of the instant. Two queries, however many there are."""
    some = list(people)
    awards, needs = awards_of([one.pk for one in some]), needs_in_force(local_day(at, zone))
    return [_row(one, standings(awards.get(one.pk, ()), one.left_on, zone, at), needs) for one in some]


def _row(person: Person, stands: dict[str, Standing], needs: dict[str, tuple[str, ...]]) -> Row:
    return Row(person.pk, person.name, person.employer, tuple(person.roles), stands, needed(person.roles, needs))


def posted_with(person: Person, at: datetime) -> frozenset[str]:
    """Those who are posted to a site that the person is posted to now."""
    sites = posted_now(at).filter(person=person.pk).values("site")
    return frozenset(posted_now(at).filter(site__in=sites).values_list("person_id", flat=True))
