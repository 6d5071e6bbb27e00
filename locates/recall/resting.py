"""The locates and signed permits that could rest on things in doubt, as the rules of reach need them. The number of queries depends on neither."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet
from shapely import from_wkt
from shapely.geometry.base import BaseGeometry

from locates.life.facts import lives, steps_of
from locates.life.models import Step
from locates.life.rules.acts import JUDGED, OVER, TAKE_OVER
from locates.life.rules.story import Life
from locates.permits.models import Permit, SignOff
from locates.recall.rules.doubts import AWARD, PLAN, Doubt
from locates.recall.rules.reach import Held, Searched
from locates.rules.fitness import named_techniques_need
from locates.rules.ground import NOWHERE, grown, united
from locates.surveys.models import Locate, Sweep, Trace
from records.firm.facts import in_force_at
from records.rules.kinds import UTC_ZONE
from records.rules.numbers import InForce
from records.rules.words import EXPOSED, INSTRUMENT_KINDS

NARROWED = "recall_checks_narrow"
A_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Scene:
    """What could rest on some doubts: locates and permits as they are stored and as rules need them, how the permits stand, what is in force at the sites."""

    locates: dict[str, Locate]
    permits: dict[str, Permit]
    searched: list[Searched]
    held: list[Held]
    standing: dict[str, Life]
    numbers: dict[str, InForce]

    @property
    def narrowed(self) -> frozenset[str]:
        """The sites at which a passed check is proof that an instrument was good."""
        return frozenset(site for site, one in self.numbers.items() if one.yes(NARROWED))


@dataclass(frozen=True)
class Concerned:
    """Which instruments, people and sites some doubts are about; of each instrument, the doubts."""

    instruments: dict[str, list[Doubt]]
    people: frozenset[str]
    sites: frozenset[str]

    def locates(self, at: datetime, only: Collection[str] | None) -> list[str]:
        """Those that could rest on them, by name. Most that an instrument ever made lie outside the time of any doubt, and are no more than looked at."""
        used = Q(operator__pk__among=self.people) | Q(site__pk__among=self.sites)
        for kind in INSTRUMENT_KINDS:
            used |= Q(**{f"{kind}__pk__among": self.instruments})
        rows = Locate.objects.filter(used, started_at__lte=at)
        rows = rows if only is None else rows.filter(locate__among=only)
        told = rows.values_list("pk", "operator_id", "site_id", "started_at", "finished_at", *(f"{kind}_id" for kind in INSTRUMENT_KINDS))
        return [key for key, operator, site, *rest in told if operator in self.people or site in self.sites or self._in_doubt(*rest, at=at)]

    def _in_doubt(self, began: datetime, finished: datetime | None, *kit: str | None, at: datetime) -> bool:
        """Roughly, and never too narrowly: nowhere on Earth is it more than a day from UTC's."""
        ends = (finished or at) + A_DAY
        return any(one.holds(began - A_DAY, ends, UTC_ZONE, False) for name in kit for one in self.instruments.get(name or "", ()))

    def permits(self) -> Q:
        took_over = Step.objects.filter(act=TAKE_OVER, person__pk__among=self.people).values("permit")
        dug = Permit.crew.through.objects.filter(person__pk__among=self.people).values("permit_id")
        named = Q(issuer__pk__among=self.people) | Q(receiver__pk__among=self.people) | Q(pk__in=dug) | Q(pk__in=took_over)
        return named | Q(site__pk__among=self.sites)


def concerned(doubts: Iterable[Doubt]) -> Concerned:
    instruments: dict[str, list[Doubt]] = defaultdict(list)
    people, sites = set(), set()
    for one in doubts:
        if one.kind == AWARD:
            people.add(one.person)
        elif one.kind == PLAN:
            sites.add(one.site)
        else:
            instruments[one.instrument].append(one)
    return Concerned(dict(instruments), frozenset(people), frozenset(sites))


def scene(about: Concerned, at: datetime, only: tuple[Collection[str], Collection[str]] | None = None) -> Scene:
    """What could rest on them. `only`: of these locates and these permits."""
    rows = Locate.objects.filter(locate__among=about.locates(at, only and only[0]))
    locates = {row.pk: row for row in rows.select_related("site", "operator")}
    permits = {row.pk: row for row in _signed(about, locates, only).select_related("site", "issuer", "locate")}
    sites = {row.site_id: row.site for row in (*locates.values(), *permits.values())}
    numbers = in_force_at(sites.values(), at)
    standing = lives(permits.values(), at)
    return Scene(locates, permits, _searched(locates, about.sites, at), _held(permits, about.sites, numbers, standing), standing, numbers)


def _signed(about: Concerned, locates: Iterable[str], only: tuple[Collection[str], Collection[str]] | None) -> QuerySet[Permit]:
    found = Permit.objects.filter(about.permits() | Q(locate__pk__among=list(locates)), pk__in=SignOff.objects.values("permit"))
    return found if only is None else found.filter(permit__among=only[1])


def _searched(rows: dict[str, Locate], sites: Collection[str], at: datetime) -> list[Searched]:
    """Shapes are read only where an answer is in doubt: nothing else asks for the ground."""
    shaped = [key for key, row in rows.items() if row.site_id in sites]
    techniques, grounds = defaultdict(set), defaultdict(list)
    for model, shape in ((Sweep, "area"), (Trace, "line")):
        for locate, technique in model.objects.filter(locate__pk__among=rows).values_list("locate_id", "technique"):
            techniques[locate].add(technique)
        for locate, text in model.objects.filter(locate__pk__among=shaped).values_list("locate_id", shape):
            grounds[locate].append(from_wkt(text))
    return [_one(row, techniques[key] - {EXPOSED}, united(grounds[key]) if grounds[key] else NOWHERE, at) for key, row in rows.items()]


def _one(row: Locate, techniques: set[str], ground: BaseGeometry, at: datetime) -> Searched:
    ended = row.finished_at if row.finished_at is not None and row.finished_at <= at else at
    kit = tuple((kind, name) for kind in named_techniques_need(techniques) if (name := getattr(row, f"{kind}_id")) is not None)
    return Searched(row.pk, row.site_id, ZoneInfo(row.site.time_zone), row.operator_id, row.started_at, ended, frozenset(techniques), kit, ground)


def _held(rows: dict[str, Permit], shaped: Collection[str], numbers: dict[str, InForce], standing: dict[str, Life]) -> list[Held]:
    signed, crews, steps = defaultdict(list), defaultdict(set), steps_of(rows)
    for permit, when in SignOff.objects.filter(permit__pk__among=rows).order_by("signed_at").values_list("permit_id", "signed_at"):
        signed[permit].append(when)
    for permit, person in Permit.crew.through.objects.filter(permit__pk__among=rows).values_list("permit_id", "person_id"):
        crews[permit].add(person)
    return [
        Held(
            permit=key,
            site=row.site_id,
            zone=ZoneInfo(row.site.time_zone),
            locate=row.locate_id or "",
            issuer=row.issuer_id,
            receivers=frozenset({row.receiver_id, *(one.person_id for one in steps.get(key, ()) if one.act == TAKE_OVER)}),
            crew=frozenset(crews[key]),
            signed=(*signed[key], *(one.done_at for one in steps.get(key, ()) if one.act in JUDGED)),
            over=next((one.done_at for one in steps.get(key, ()) if one.act in OVER), standing[key].ends),
            ground=grown(from_wkt(row.outline), numbers[row.site_id].number("sweep_margin_m")) if row.site_id in shaped else NOWHERE,
        )
        for key, row in sorted(rows.items())
    ]
