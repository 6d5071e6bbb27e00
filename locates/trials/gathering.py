"""What locates' plans are held against the ground by: for one locate or a thousand, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils.module_loading import import_string
from shapely import Point, from_wkt

from locates.permits.facts import AtHand, at_hand_by_site
from locates.permits.models import Permit
from locates.surveys.models import Locate
from locates.trials.models import PlannedLine, Report, TrialHole
from locates.trials.rules.against import Dug, Planned
from locates.trials.rules.dig import BY_HAND, SHALLOW, Dig, swept
from records.base import ByCodePoint
from records.firm.facts import rows_of
from records.rules.dates import local_day
from records.rules.numbers import InForce, Row

LIMIT = "plan_difference_m"
Drawn = dict[str, tuple[Planned, str]]


@dataclass(frozen=True, slots=True)
class Gathered:
    """By site what is on record there and where its plans show services; by locate its permits, the latest first, its sheet's dig, its holes and reports."""

    at_hand: dict[str, AtHand]
    planned: dict[str, Drawn]
    permits: dict[str, list[Permit]]
    sheets: dict[str, Dig]
    holes: dict[str, list[Dug]]
    reports: dict[str, list[Report]]
    numbers: dict[str, list[Row]]

    def dig(self, locate: Locate, permit: Permit | None) -> Dig:
        """The dig of the permit; without one, that of the locate's field sheet, else the ground that was swept."""
        if permit is not None:
            return Dig(f"the dig of permit {permit.pk}", from_wkt(permit.outline), permit.depth_m, permit.method)
        return self.sheets.get(locate.pk) or swept(self.at_hand[locate.site_id].locates[locate.pk])

    def limit(self, locate: Locate, at: datetime) -> Decimal:
        """What may lie between a plan and the ground."""
        return InForce(self.numbers[locate.site.rule_set_id], local_day(at, ZoneInfo(locate.site.time_zone))).number(LIMIT)


def gathered(locates: Sequence[Locate]) -> Gathered:
    """`locates`: each with its site."""
    sites = {one.site_id: one.site for one in locates}
    keys = [one.pk for one in locates]
    return Gathered(
        at_hand_by_site(sites.values(), keys, [one.operator_id for one in locates]),
        _planned(list(sites)),
        _by_locate(Permit.objects.filter(locate__locate__among=keys).order_by("-valid_from", ByCodePoint("permit")).defer("work")),
        {key: Dig("the dig of its field sheet", outline, depth or SHALLOW, how or BY_HAND) for key, (outline, depth, how) in _sheets(keys).items()},
        {key: [_dug(row) for row in rows] for key, rows in _by_locate(TrialHole.objects.filter(locate__locate__among=keys).order_by("hole")).items()},
        _by_locate(Report.objects.filter(locate__locate__among=keys).select_related("person").order_by("reported_at", "report")),
        rows_of(sites.values()),
    )


def _planned(sites: list[str]) -> dict[str, Drawn]:
    found: dict[str, Drawn] = {key: {} for key in sites}
    for one in PlannedLine.objects.filter(service__enquiry__site__site__among=sites).select_related("service__enquiry"):
        found[one.service.enquiry.site_id][one.pk] = Planned(from_wkt(one.line), one.accuracy_m), one.service.utility
    return found


def _sheets(keys: list[str]) -> dict[str, Any]:
    return import_string(settings.DIGS_OF_LOCATES)(keys)


def _by_locate(rows: Iterable[Any]) -> dict[str, list[Any]]:
    found: dict[str, list[Any]] = defaultdict(list)
    for row in rows:
        found[row.locate_id].append(row)
    return found


def _dug(row: TrialHole) -> Dug:
    return Dug(row.pk, row.trace_id, Point(row.x, row.y), row.utility)
