"""What somebody practised in the last twelve months: by which techniques, at which sites, and how long ago."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Count, Max
from django.urls import reverse
from django.utils.http import urlencode

from locates.surveys.models import Locate, Sweep, Trace
from records.firm.models import Person
from records.rules.dates import day_says, local_day
from records.rules.says import days_away
from records.rules.words import EXPOSED, TECHNIQUES, spoken

YEAR = timedelta(days=365)
SHOWN_LOCATES = 10
MOST_SITES = 6  # on paper
NOT_LATELY = "not in the last twelve months"


@dataclass(frozen=True)
class Done:
    """In how many locates, and on which day last; `site`: where, if it is told of a site."""

    name: str
    count: int
    last: date
    site: str = ""


@dataclass(frozen=True)
class Practice:
    """Locates of the last twelve months: by technique in the trade's order, by site the latest first, and the latest of them."""

    begins: date
    by_technique: tuple[Done, ...]
    by_site: tuple[Done, ...]
    latest: list[Locate]

    @property
    def count(self) -> int:
        return sum(one.count for one in self.by_site)

    @property
    def last(self) -> date:
        return self.by_site[0].last


def practice(person: Person, zone: ZoneInfo, at: datetime) -> Practice:
    """Three queries, however many locates there are."""
    mine = Locate.objects.filter(operator=person, started_at__gte=at - YEAR, started_at__lte=at)
    sites = mine.values_list("site", "site__name").annotate(count=Count("pk"), last=Max("started_at")).order_by("-last", "site")
    by_site = tuple(Done(name, count, local_day(last, zone), site) for site, name, count, last in sites)
    latest = list(mine.select_related("site").order_by("-started_at", "locate")[:SHOWN_LOCATES])
    return Practice(local_day(at - YEAR, zone), tuple(_by_technique(mine, zone)), by_site, latest)


def _by_technique(mine: Iterable[Locate], zone: ZoneInfo) -> Iterator[Done]:
    """A technique is practised by a sweep and by a trace; in one locate it counts once."""
    columns = ("technique", "locate", "locate__started_at")
    traced = Trace.objects.filter(locate__in=mine).exclude(technique=EXPOSED).values_list(*columns)
    begun: dict[str, list[datetime]] = defaultdict(list)
    for technique, _, started_at in Sweep.objects.filter(locate__in=mine).values_list(*columns).union(traced):
        begun[technique].append(started_at)
    yield from (Done(one, len(begun[one]), local_day(max(begun[one]), zone)) for one in TECHNIQUES if one in begun)


# in words


@dataclass(frozen=True)
class Row:
    """One technique or site: in how many locates, when last, how long ago, and where those are listed."""

    name: str
    count: int
    last: str
    ago: str
    leads: str = ""


@dataclass(frozen=True)
class Practised:
    """Practice in words, and the latest locates with their addresses."""

    says: str
    techniques: list[Row]
    sites: list[Row]
    latest: list[tuple[str, str, str]]


def practised(person: Person, found: Practice, may: Iterable[str], today: date, zone: ZoneInfo) -> Practised:
    """`may`: the techniques that the person is in date for; those not practised are told too."""
    if not found.count:
        return Practised("No locate in the last twelve months.", [], [], [])
    says = f"{locates(found.count)} in the last twelve months, the last on {day_says(found.last)}, {days_away((found.last - today).days)}."
    done = {one.name: one for one in found.by_technique}
    allowed = set(may)
    techniques = [_row(done.get(one), spoken(one).capitalize(), today) for one in TECHNIQUES if one in done or one in allowed]
    sites = [_row(one, one.name, today, _listed(person, one, found.begins)) for one in found.by_site]
    latest = [(one.pk, reverse("leaf", args=["locates", one.pk]), f"{one.site.name}, {day_says(local_day(one.started_at, zone))}") for one in found.latest]
    return Practised(says, techniques, sites, latest)


def _row(one: Done | None, name: str, today: date, leads: str = "") -> Row:
    if one is None:
        return Row(name, 0, "", NOT_LATELY)
    return Row(name, one.count, day_says(one.last), days_away((one.last - today).days), leads)


def _listed(person: Person, one: Done, begins: date) -> str:
    asked = {"site": one.site, "operator": person.pk, "since": begins.isoformat()}
    return f"{reverse('book', args=['locates'])}?{urlencode(asked)}"


def locates(count: int) -> str:
    return f"{count:,} locate{'' if count == 1 else 's'}"


def on_paper(told: Practised) -> Iterator[str]:
    """The same as lines of text; paper is read later, so it names days."""
    yield told.says
    if told.techniques:
        yield f"By technique: {'; '.join(_line(one) for one in told.techniques)}."
    if told.sites:
        more = f"; and {len(told.sites) - MOST_SITES} more" if len(told.sites) > MOST_SITES else ""
        yield f"By site: {'; '.join(_line(one) for one in told.sites[:MOST_SITES])}{more}."


def _line(one: Row) -> str:
    return f"{one.name} in {locates(one.count)}, last on {one.last}" if one.count else f"{one.name} {one.ago}"
