"""Stored needs, ratings and agreements as the gate is given them, in three queries whatever their number."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import TypeVar

from shapely import from_wkt

from locates.owners.models import OwnerAgreement, OwnerNeed, Rating
from locates.owners.rules import terms
from records.base import ByCodePoint

Made = TypeVar("Made")


def terms_of(rule_sets: Mapping[str, str]) -> dict[str, terms.Terms]:
    """By site all that is on record about its owners; given, by site, its rule set."""
    needs = _grouped((row.rule_set_id, _need(row)) for row in OwnerNeed.objects.filter(rule_set__pk__among=rule_sets.values()).order_by(ByCodePoint("need")))
    rated = Rating.objects.filter(service__enquiry__site__pk__among=rule_sets).order_by(ByCodePoint("rating"))
    ratings = _grouped((row.service.enquiry.site_id, _rating(row)) for row in rated.select_related("service__enquiry").defer("service__enquiry__area"))
    agreed = OwnerAgreement.objects.filter(site__pk__among=rule_sets).order_by(ByCodePoint("agreement"))
    agreements = _grouped((row.site_id, _agreement(row)) for row in agreed)
    return {site: terms.Terms(needs.get(held, ()), ratings.get(site, ()), agreements.get(site, ())) for site, held in rule_sets.items()}


def _grouped(pairs: Iterable[tuple[str, Made]]) -> dict[str, tuple[Made, ...]]:
    groups: dict[str, list[Made]] = defaultdict(list)
    for key, made in pairs:
        groups[key].append(made)
    return {key: tuple(made) for key, made in groups.items()}


def _need(row: OwnerNeed) -> terms.Need:
    limits = (row.above_kv, row.above_bar, bool(row.blocks), row.source)
    return terms.Need(row.need, row.effective_from, row.needed, row.within_m, row.utility or "", row.service_owner, row.methods, *limits)


def _rating(row: Rating) -> terms.Rating:
    return terms.Rating(row.service_id, row.told_on, row.voltage_kv, row.pressure_bar)


def _agreement(row: OwnerAgreement) -> terms.Agreement:
    return terms.Agreement(
        row.pk,
        row.service_owner,
        row.agreed,
        row.agreed_with,
        row.agreed_at,
        row.good_from,
        row.good_through,
        row.utility or "",
        row.service_id or "",
        row.reference_no,
        row.conditions,
        from_wkt(row.area) if row.area else None,
        row.proved_by,
        row.proved_at,
        row.withdrawn_on,
    )
