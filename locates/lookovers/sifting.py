"""Which rows of all diaries somebody asked for, as a list and as a file."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from locates.lookovers.facts import SEE, TIES, every
from locates.lookovers.forms import SieveForm
from locates.lookovers.models import DiaryRow
from locates.lookovers.registers import COLUMNS, cells
from records.access import within
from records.firm.facts import own_sites, own_zone
from records.firm.models import Person
from records.rules.dates import day_start

FINDS = ("permit__permit", "permit__work", "printed_name", "note", "action", "further", "place", "hole__hole", "receiver__instrument")


@dataclass(frozen=True, slots=True)
class Asked:
    """The form and the rows that it asks for, the latest first."""

    form: SieveForm
    rows: QuerySet[DiaryRow]


def asked(data: Mapping[str, Any], reader: Person, at: datetime) -> Asked:
    """Of the rows that the reader may see. A day is one by the reader's own clock: of all sites at once there is no other."""
    form = SieveForm([(site.pk, site.name) for site in own_sites(reader, SEE, at)], data=data)
    return Asked(form, _chosen(within(every(), reader, SEE, TIES, at), form.chosen(), own_zone(reader, at)))


def _chosen(rows: QuerySet[DiaryRow], chosen: dict[str, Any], zone: ZoneInfo) -> QuerySet[DiaryRow]:
    if words := chosen.get("search"):
        found = Q()
        for column in FINDS:
            found |= Q(**{f"{column}__icontains": words})
        rows = rows.filter(found)
    if site := chosen.get("site"):
        rows = rows.filter(permit__site=site)
    if kind := chosen.get("kind"):
        rows = rows.filter(kind=kind)
    if chosen.get("show"):
        rows = rows.filter(~Q(wrong="") | Q(found=True))
    if first := chosen.get("first"):
        rows = rows.filter(happened_at__gte=day_start(first, zone))
    if last := chosen.get("last"):
        rows = rows.filter(happened_at__lt=day_start(last + timedelta(days=1), zone))
    return rows


def csv_rows(rows: QuerySet[DiaryRow]) -> Iterator[Iterable[str]]:
    """The rows as a file for spreadsheets, in the register's columns, with the site's name."""
    yield ("permit", "number", "site", *COLUMNS)
    for one in rows.iterator(chunk_size=500):
        permit, number, *rest = cells(one)
        yield (permit, number, one.permit.site.name, *rest)
