"""What is stored of a locate under way, as plain values for the rules."""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.urls import reverse
from shapely import from_wkt
from shapely.geometry.base import BaseGeometry

from locates.fieldwork.models import FieldSheet
from locates.fieldwork.rules import underway
from locates.instruments.models import Instrument
from locates.permits.facts import at_hand
from locates.permits.models import Permit
from locates.permits.rules.evidence import Evidence, Locate
from locates.permits.rules.evidence import Person as Operator
from locates.surveys.models import Locate as Row
from records.access import Ties, may
from records.files import facts as files
from records.firm.facts import own_sites
from records.firm.models import Person, Site
from records.rules.words import INSTRUMENT_KINDS

ENTER = "fieldsheet.enter"
TIES = Ties(("locate__operator",), "locate__site")
MOST_ALONG = 20
OFFERED_PERMITS = 30


def sheets() -> QuerySet[FieldSheet]:
    """Field sheets with all that their pages name."""
    beside = ("site", "operator", *INSTRUMENT_KINDS)
    return FieldSheet.objects.select_related("locate", *(f"locate__{one}" for one in beside))


def fresh(site: Site, person: Person, at: datetime, dig: str = "") -> FieldSheet:
    """A sheet for a locate that is not begun yet; nothing of it is stored. `dig`: the permit that it is to be made for."""
    made = FieldSheet(sheet=str(uuid4()), locate=Row(locate="", site=site, operator=person, started_at=at), marks=())
    found = Permit.objects.filter(site=site, pk=dig.replace("\0", "")).first() if dig else None
    if found is not None:
        made.outline, made.depth_m, made.method = found.outline, found.depth_m, found.method
    return made


def gathered(row: FieldSheet, at: datetime) -> tuple[Evidence, underway.Sheet]:
    """The evidence of the locate under way, and what its sheet says. A fixed number of queries."""
    stored = row.locate.locate
    seen, photographs = (row.plans_seen.values_list("pk", flat=True), files.count("locate", stored, "photograph")) if stored else ((), 0)
    sheet = underway.Sheet(from_wkt(row.outline) if row.outline else None, row.depth_m, row.method, frozenset(seen), tuple(row.marks), photographs)
    found = at_hand(row.locate.site, [stored] if stored else [], [row.locate.operator_id])
    operator = found.people[row.locate.operator_id]
    evidence = found.evidence(underway.stand_in(sheet, operator, at), stored)
    if evidence.locate is None:
        evidence = underway.with_locate(evidence, _unbegun(row, operator, at))
    return evidence, sheet


def _unbegun(row: FieldSheet, operator: Operator, at: datetime) -> Locate:
    return Locate("", row.locate.site_id, operator, None, at)


def zone_of(row: FieldSheet) -> ZoneInfo:
    return ZoneInfo(row.locate.site.time_zone)


def digs_of(locates: Iterable[str]) -> dict[str, tuple[BaseGeometry, Decimal | None, str | None]]:
    """By locate, the dig that it was made for by its sheet: outline, depth in metres and method, so far as they are told; no outline, no dig. One query."""
    rows = FieldSheet.objects.filter(locate__locate__among=list(locates)).exclude(outline="")
    return {row.locate_id: (from_wkt(row.outline), row.depth_m, row.method) for row in rows}


def under_way(person: Person) -> QuerySet[FieldSheet]:
    """The person's own locates that are not finished, the latest first."""
    return sheets().filter(locate__operator=person.pk, locate__finished_at=None).order_by("-locate__started_at", "sheet")


def last_kit(person: Person) -> dict[str, Any]:
    """What the person located with last."""
    last = Row.objects.filter(operator=person.pk).order_by("-started_at", "-pk").first()
    return {kind: getattr(last, f"{kind}_id") for kind in INSTRUMENT_KINDS} if last else {}


def instruments(kind: str, at: datetime) -> QuerySet[Instrument]:
    """Instruments of the kind that are in service on the day. The site's own day is a matter of the gate's."""
    return Instrument.objects.filter(kind=kind).exclude(out_of_service_from__lte=at.date()).order_by("pk")


def digs(site: Site, at: datetime) -> QuerySet[Permit]:
    """Permits of the site that nobody has signed and whose time is not over: what a locate may be made for."""
    return Permit.objects.filter(site=site, valid_to__gt=at, sign_offs=None).order_by("valid_from", "pk")[:OFFERED_PERMITS]


def along(person: Person, at: datetime) -> list[str]:
    """The addresses of what the person's phone may take along: where locates begin, and their own that are under way with what is sketched there."""
    if not may(person, ENTER):
        return []
    sites = own_sites(person, ENTER, at).values_list("pk", flat=True)[:MOST_ALONG]
    sheets = under_way(person).values_list("pk", flat=True)[:MOST_ALONG]
    begun = [reverse(name, args=[one]) for one in sheets for name in ("locating", "sketch")]
    return [reverse("field"), *(reverse("begin_locate", args=[one]) for one in sites), *begun]
