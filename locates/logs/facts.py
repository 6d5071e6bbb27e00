"""Stored logs and layouts, and how locates stand beside their logs: in a number of queries that does not grow with them."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import F, QuerySet
from django.urls import reverse
from shapely import from_wkt

from locates.grids.models import Grid
from locates.logs.models import Layout, Log
from locates.logs.rules import beside
from locates.logs.rules.reading import Place
from locates.logs.rules.use import Account, Yardstick
from locates.surveys.models import Locate, Sweep
from records.access import Ties, within
from records.firm.facts import in_force
from records.firm.models import Person, Site
from records.rules.dates import instant_says
from records.rules.says import window_says
from records.rules.text import Unfit

TIES = Ties(("locate__operator",), "locate__site")
SEE, ENTER, LAYOUT_SEE, LAYOUT_ENTER = "log.see", "log.enter", "layout.see", "layout.enter"
LATELY = timedelta(days=90)


@dataclass(frozen=True)
class Compared:
    """A locate beside its logs: those that count, what they show, technique by technique, and in what they do not fit."""

    locate: Locate
    logs: list[Log]
    accounts: list[Account]
    figures: list[beside.Figure]
    differences: list[beside.Difference]

    @property
    def zone(self) -> ZoneInfo:
        return zone_of(self.locate)


def zone_of(locate: Locate) -> ZoneInfo:
    return ZoneInfo(locate.site.time_zone)


def cuts(locate: Locate) -> list[datetime]:
    """When the locate began, and when it was finished, if it is."""
    return [one for one in (locate.started_at, locate.finished_at) if one]


def span_says(locate: Locate) -> str:
    """When the locate was made, in words."""
    zone = zone_of(locate)
    if locate.finished_at is None:
        return f"begun {instant_says(locate.started_at, zone)}, not finished"
    return window_says(locate.started_at, locate.finished_at, zone)


def logs_within(person: Person, at: datetime) -> QuerySet[Log]:
    """The logs that the person may see, the latest locates first."""
    rows = Log.objects.select_related("locate__site", "locate__operator", "layout", "file")
    return within(rows, person, SEE, TIES, at).order_by("-locate__started_at", "locate", "file__recorded_at", "log")


def of_locate(locate: str) -> list[Log]:
    """Every log of the locate, the struck ones too, as they came."""
    return list(Log.objects.filter(locate=locate).select_related("locate__site", "layout", "file").order_by("recorded_at", "log"))


def compared(logs: Iterable[Log]) -> list[Compared]:
    """Each locate of these logs beside those that count. The logs bear their locate, its site and their file; one query more, for the sweeps."""
    by_locate: dict[str, list[Log]] = defaultdict(list)
    for log in logs:
        if log.file.struck_at is None:
            by_locate[log.locate_id].append(log)
    claims = _claims(by_locate.keys())
    return [_compared(some[0].locate, some, claims[locate]) for locate, some in by_locate.items()]


def _claims(locates: Collection[str]) -> dict[str, list[beside.Claim]]:
    found: dict[str, list[beside.Claim]] = defaultdict(list)
    for one in Sweep.objects.filter(locate__pk__among=locates).order_by("sweep"):
        found[one.locate_id].append(beside.Claim(one.sweep, one.technique, from_wkt(one.area)))
    return found


def _compared(locate: Locate, logs: list[Log], claims: list[beside.Claim]) -> Compared:
    span = beside.Span(locate.started_at, locate.finished_at, zone_of(locate))
    accounts = [log.account for log in logs]
    figures = beside.figures(claims, span, accounts)
    return Compared(locate, logs, accounts, figures, beside.differences(figures, span, accounts))


def since(rows: QuerySet[Log], begun: datetime) -> QuerySet[Log]:
    """Those of locates begun since then."""
    return rows.filter(locate__started_at__gte=begun)


def exposure(person: Person, at: datetime) -> dict[str, object]:
    """For a first page: of the locates of the last 90 days that the person may see and that have a log, how many differ from it, and where they are listed.

    Gives `differ`, `of` and `leads`. Two queries, however many there are.
    """
    every = compared(since(logs_within(person, at), at - LATELY))
    return {"differ": sum(bool(one.differences) for one in every), "of": len(every), "leads": reverse("logs")}


# layouts


def layouts() -> QuerySet[Layout]:
    """Every layout, those in use first."""
    return Layout.objects.order_by(F("retired_at").desc(nulls_first=True), "name", "layout")


def in_use() -> list[Layout]:
    return list(layouts().filter(retired_at=None))


def yardstick(site: Site, at: datetime) -> Yardstick:
    """What logs at the site are measured by, as the numbers are in force at the instant."""
    numbers = in_force(site, at)
    return Yardstick(numbers.number("log_gap_s"), numbers.number("log_reach_m"), numbers.number("log_spare_ratio"))


def placing(site: Site) -> Place | None:
    """What turns longitude and latitude into metres of the site's grid; None where nobody has said how that grid lies, or its system is not known here."""
    grid = Grid.objects.filter(site=site).first()
    try:
        return grid.projection().to_site if grid else None
    except Unfit:
        return None
