"""Stored awards as the arithmetic of cover needs them, for any number of people at once."""

from collections import defaultdict
from collections.abc import Collection

from records.base import ByCodePoint
from records.rules.cover import Award as CoverAward
from training.models import Award


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
