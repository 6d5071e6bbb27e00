"""The one place where stored records become the gate's evidence: for one permit or ten thousand, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from django.db.models import Model, QuerySet
from shapely import from_wkt

from locates.instruments.facts import histories
from locates.owners.facts import terms_of
from locates.owners.rules.terms import Terms
from locates.permits import among, emergencies, since
from locates.permits.models import Emergency, Permit
from locates.permits.rules import evidence as e
from locates.surveys import models as surveys
from records.base import ByCodePoint
from records.firm.models import Person, Rule, Site
from records.rules.numbers import EMERGENCY_NUMBERS, NUMBERS, SCHEME, Row
from training.facts import awards_of

Made = TypeVar("Made")
Groups = dict[str, tuple[Made, ...]]


def gather(permits: QuerySet[Permit], *, as_signed: bool = False, until: datetime | None = None) -> list[e.Evidence]:
    """The evidence of each permit, in the query's order. The number of queries does not depend on how many permits there are.

    A permit runs until its extension's end and is held by whoever took it over; `as_signed`: as it is stored, which never changes. `until`: how far on
    other permits upon the same ground are looked for, where that is farther than these run.
    """
    rows = list(permits)
    terms = {row.pk: (row.receiver_id, row.valid_to) for row in rows} | ({} if as_signed else since.terms(row.pk for row in rows))
    crews = _linked(Permit.crew.through, "permit", "person", [row.pk for row in rows])
    found = {row.pk: row for row in surveys.Locate.objects.filter(locate__among=_named(row.locate_id for row in rows))}
    declared = emergencies.rows_of(row.pk for row in rows)
    named = {row.issuer_id for row in rows} | {receiver for receiver, _ in terms.values()} | {one for crew in crews.values() for one in crew}
    people = people_of(named.union((row.operator_id for row in found.values()), (one.decided_by_id for one in declared.values())))
    sites = {row.pk: row for row in Site.objects.filter(site__among={row.site_id for row in rows})}
    (rules, schemes, urgent), enquiries, locates = _rules(sites.values()), _enquiries(sites), _locates(found, people)
    owners = terms_of({row.pk: row.rule_set_id for row in sites.values()})
    places = {row.pk: _site(row, schemes) for row in sites.values()}
    permits = [_permit(row, *terms[row.pk], people, crews.get(row.pk, ())) for row in rows]
    related = _related(rows, terms, until)
    digs = emergencies.digs({row.site_id for row in rows if row.pk in declared})
    return [
        e.Evidence(
            permit,
            places[row.site_id],
            rules.get(sites[row.site_id].rule_set_id, ()),
            enquiries.get(row.site_id, ()),
            locates.get(row.locate_id),
            **related.told(row.site_id, permit),
            owners=owners[row.site_id],
            emergency=_emergency(declared.get(row.pk), people, urgent.get(sites[row.site_id].rule_set_id, ()), digs.get(row.site_id, ())),
        )
        for row, permit in zip(rows, permits, strict=True)
    ]


def _emergency(row: Emergency | None, people: dict[str, e.Person], rules: tuple[Row, ...], digs: tuple[e.Dug, ...]) -> e.Emergency | None:
    if row is None:
        return None
    others = tuple(one for one in digs if one.permit != row.permit_id)
    return e.Emergency(row.danger, row.waiting, people[row.decided_by_id], row.decided_at, rules, others, row.accepted_at)


@dataclass(frozen=True, slots=True)
class Related:
    """What permits are to one another: which they follow, which follow them, and by site which others are issued."""

    followings: among.Followings
    issued: dict[str, among.Issued]

    def told(self, site: str, permit: e.Permit) -> dict[str, Any]:
        """As the evidence of a permit has it."""
        beside = self.issued[site].near(permit) if site in self.issued else ()
        return {"follows": self.followings.before.get(permit.permit), "followers": self.followings.followers.get(permit.permit, ()), "beside": beside}


def _related(rows: list[Permit], terms: dict[str, tuple[str, datetime]], until: datetime | None) -> Related:
    if not rows:
        return Related(among.Followings({}, {}), {})
    span = min(row.valid_from for row in rows), max(filter(None, (until, *(ends for _, ends in terms.values()))))
    return Related(among.followings([row.pk for row in rows]), among.issued({row.site_id for row in rows}, span))


def gather_one(permit: str, *, as_signed: bool = False, until: datetime | None = None) -> e.Evidence:
    """The evidence of the permit so named, as of `gather`. Raises Permit.DoesNotExist."""
    found = gather(Permit.objects.filter(permit=permit), as_signed=as_signed, until=until)
    if not found:
        raise Permit.DoesNotExist(permit)
    return found[0]


@dataclass(frozen=True, slots=True)
class AtHand:
    """All that permits of one site could rest on: for a permit that is only being prepared."""

    site: e.Site
    rules: tuple[Row, ...]
    enquiries: tuple[e.Enquiry, ...]
    locates: dict[str, e.Locate]
    people: dict[str, e.Person]
    owners: Terms
    issued: dict[str, among.Issued] = field(default_factory=dict)
    followers: tuple[e.After, ...] = ()
    urgent: tuple[Row, ...] = ()
    digs: tuple[e.Dug, ...] = ()

    def evidence(self, permit: e.Permit, locate: str, follows: e.Before | None = None, emergency: e.Emergency | None = None) -> e.Evidence:
        """As it would be for the permit, with that locate if there is one so named, following that permit if it follows one, and an emergency if it is one."""
        beside = self.issued[self.site.site].near(permit) if self.site.site in self.issued else ()
        urgent = replace(emergency, rules=self.urgent, others=tuple(one for one in self.digs if one.permit != permit.permit)) if emergency else None
        return e.Evidence(permit, self.site, self.rules, self.enquiries, self.locates.get(locate), follows, self.followers, beside, self.owners, urgent)


def at_hand(site: Site, locates: Iterable[str], people: Iterable[str]) -> AtHand:
    """What is on record at the site, with these locates and people. The number of queries depends on neither."""
    return at_hand_by_site([site], locates, people)[site.pk]


def at_hand_by_site(sites: Iterable[Site], locates: Iterable[str], people: Iterable[str]) -> dict[str, AtHand]:
    """The same of several sites, in as many queries."""
    places = {site.pk: site for site in sites}
    found = {row.pk: row for row in surveys.Locate.objects.filter(locate__among=list(locates))}
    everyone = people_of({*people, *(row.operator_id for row in found.values())})
    (rules, schemes, urgent), enquiries, searched = _rules(places.values()), _enquiries(places), _locates(found, everyone)
    terms, made = terms_of({key: site.rule_set_id for key, site in places.items()}), {}
    for key, site in places.items():
        own = rules.get(site.rule_set_id, ()), enquiries.get(key, ()), searched, everyone, terms[key]
        made[key] = AtHand(_site(site, schemes), *own, urgent=urgent.get(site.rule_set_id, ()))
    return made


def _named(keys: Iterable[str | None]) -> set[str]:
    return {key for key in keys if key is not None}


def _grouped(rows: Iterable[Model], by: str, make: Callable[[Any], Made]) -> Groups[Made]:
    groups: dict[str, list[Made]] = defaultdict(list)
    for row in rows:
        groups[getattr(row, by)].append(make(row))
    return {key: tuple(made) for key, made in groups.items()}


def _linked(through: type[Model], source: str, target: str, keys: Iterable[str]) -> Groups[str]:
    """What each of the keys is linked to by a table of links, sorted."""
    pairs = through.objects.filter(**{f"{source}__pk__among": keys}).values_list(f"{source}_id", f"{target}_id")
    groups: dict[str, list[str]] = defaultdict(list)
    for one, other in pairs:
        groups[one].append(other)
    return {key: tuple(sorted(others)) for key, others in groups.items()}


def _permit(row: Permit, receiver: str, ends: datetime, people: dict[str, e.Person], crew: Iterable[str]) -> e.Permit:
    return e.Permit(
        row.pk,
        row.work,
        from_wkt(row.outline),
        row.depth_m,
        row.method,
        row.valid_from,
        ends,
        people[row.issuer_id],
        people[receiver],
        tuple(people[one] for one in crew),
    )


def people_of(keys: Collection[str]) -> dict[str, e.Person]:
    """People with their awards, by key. The number of queries does not depend on how many."""
    awards = awards_of(keys)
    rows = Person.objects.filter(person__among=keys)
    return {row.pk: e.Person(row.pk, row.name, row.left_on, awards.get(row.pk, ())) for row in rows}


def _site(row: Site, schemes: Groups[Row]) -> e.Site:
    return e.Site(row.pk, row.name, ZoneInfo(row.time_zone), row.rule_set_id, row.owners_to_ask, schemes.get(row.rule_set_id, ()))


def _rules(sites: Iterable[Site]) -> tuple[Groups[Row], Groups[Row], Groups[Row]]:
    """By rule set the numbers that the gate judges by, the schemes that it names quality levels by, and the numbers of emergency work.

    What else the firm sets is no matter of the gate's.
    """
    asked = Rule.objects.filter(rule_set__pk__among={row.rule_set_id for row in sites}, key__in=[*NUMBERS, SCHEME, *EMERGENCY_NUMBERS])
    rows = list(asked.order_by(ByCodePoint("key"), "effective_from"))
    return tuple(_grouped([row for row in rows if row.key in keys], "rule_set_id", _row) for keys in (NUMBERS, (SCHEME,), EMERGENCY_NUMBERS))


def _row(row: Rule) -> Row:
    return Row(row.key, row.effective_from, row.value, row.source)


def _enquiries(sites: Iterable[str]) -> Groups[e.Enquiry]:
    rows = list(surveys.Enquiry.objects.filter(site__pk__among=sites).order_by(ByCodePoint("enquiry")))
    shown = list(surveys.PlanService.objects.filter(enquiry__site__pk__among=sites).order_by(ByCodePoint("service")))
    same = _linked(surveys.PlanService.same_as.through, "from_planservice", "to_planservice", [row.pk for row in shown])
    services = _grouped(shown, "enquiry_id", lambda row: e.PlanService(row.pk, row.enquiry_id, row.utility, row.conductive, same.get(row.pk, ())))
    replaces = _linked(surveys.Enquiry.replaces.through, "from_enquiry", "to_enquiry", [row.pk for row in rows])
    told = surveys.WrongPlan.objects.filter(enquiry__site__pk__among=sites).order_by("found_at", ByCodePoint("wrong"))
    wrong = _grouped(told, "enquiry_id", lambda row: e.FoundWrong(row.pk, row.found_at, row.what))
    return _grouped(rows, "site_id", lambda row: _enquiry(row, replaces.get(row.pk, ()), services.get(row.pk, ()), wrong.get(row.pk, ())))


def _enquiry(row: surveys.Enquiry, replaces: tuple[str, ...], services: tuple[e.PlanService, ...], wrong: tuple[e.FoundWrong, ...]) -> e.Enquiry:
    return e.Enquiry(
        row.pk,
        row.service_owner,
        row.sent_on,
        from_wkt(row.area) if row.area else None,
        row.answered_at,
        row.good_through,
        bool(row.nothing_shown),
        row.reference_no,
        replaces,
        row.closed_on,
        row.closed_because,
        services,
        wrong,
    )


def _locates(rows: dict[str, surveys.Locate], people: dict[str, e.Person]) -> dict[str, e.Locate]:
    kinds = ("receiver", "transmitter", "clamp", "sonde")
    kit = histories(_named(getattr(row, f"{kind}_id") for row in rows.values() for kind in kinds))
    sweeps = _grouped(surveys.Sweep.objects.filter(locate__pk__among=rows).order_by(ByCodePoint("sweep")), "locate_id", _sweep)
    traced = list(surveys.Trace.objects.filter(locate__pk__among=rows).order_by(ByCodePoint("trace")))
    answers = _linked(surveys.Trace.services.through, "trace", "planservice", [row.pk for row in traced])
    traces = _grouped(traced, "locate_id", lambda row: _trace(row, answers.get(row.pk, ())))
    outcomes = _grouped(
        surveys.Outcome.objects.filter(locate__pk__among=rows).order_by(ByCodePoint("service_id")),
        "locate_id",
        lambda row: e.Outcome(row.service_id, row.outcome, row.note),
    )
    return {
        key: e.Locate(
            locate=key,
            site=row.site_id,
            operator=people[row.operator_id],
            started_at=row.started_at,
            finished_at=row.finished_at,
            sweeps=sweeps.get(key, ()),
            traces=traces.get(key, ()),
            outcomes=outcomes.get(key, ()),
            **{kind: kit.get(getattr(row, f"{kind}_id")) for kind in kinds},
        )
        for key, row in rows.items()
    }


def _sweep(row: surveys.Sweep) -> e.Sweep:
    return e.Sweep(row.pk, row.technique, from_wkt(row.area), row.bearing_deg, row.spacing_m, row.transmitter_offset_m)


def _trace(row: surveys.Trace, services: tuple[str, ...]) -> e.Trace:
    lengths = (row.width_m, row.depth_m, row.raised_by_m, row.raised_depth_m)
    return e.Trace(row.pk, row.utility, row.technique, from_wkt(row.line), row.quality_level, *lengths, services)
