"""The one place where stored records become the gate's evidence: for one permit or ten thousand, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from django.db.models import Model, QuerySet
from shapely import from_wkt

from locates.instruments import models as instruments
from locates.permits.models import Permit
from locates.permits.rules import evidence as e
from locates.rules import fitness
from locates.surveys import models as surveys
from records.base import ByCodePoint
from records.firm.models import Person, Rule, Site
from records.rules.cover import Award as CoverAward
from records.rules.numbers import Row
from training.models import Award

Made = TypeVar("Made")
Groups = dict[str, tuple[Made, ...]]


def gather(permits: QuerySet[Permit]) -> list[e.Evidence]:
    """The evidence of each permit, in the query's order. The number of queries does not depend on how many permits there are."""
    rows = list(permits)
    crews = _linked(Permit.crew.through, "permit", "person", [row.pk for row in rows])
    found = {row.pk: row for row in surveys.Locate.objects.filter(locate__among=_named(row.locate_id for row in rows))}
    named = {row.issuer_id for row in rows} | {row.receiver_id for row in rows} | {one for crew in crews.values() for one in crew}
    people = _people(named | {row.operator_id for row in found.values()})
    sites = {row.pk: row for row in Site.objects.filter(site__among={row.site_id for row in rows})}
    rules, enquiries, locates = _rules(sites.values()), _enquiries(sites), _locates(found, people)
    places = {row.pk: e.Site(row.pk, row.name, ZoneInfo(row.time_zone), row.rule_set_id, row.owners_to_ask) for row in sites.values()}
    return [
        e.Evidence(
            _permit(row, people, crews.get(row.pk, ())),
            places[row.site_id],
            rules.get(sites[row.site_id].rule_set_id, ()),
            enquiries.get(row.site_id, ()),
            locates.get(row.locate_id),
        )
        for row in rows
    ]


def gather_one(permit: str) -> e.Evidence:
    """The evidence of the permit so named. Raises Permit.DoesNotExist."""
    found = gather(Permit.objects.filter(permit=permit))
    if not found:
        raise Permit.DoesNotExist(permit)
    return found[0]


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


def _permit(row: Permit, people: dict[str, e.Person], crew: Iterable[str]) -> e.Permit:
    return e.Permit(
        row.pk,
        row.work,
        from_wkt(row.outline),
        row.depth_m,
        row.method,
        row.valid_from,
        row.valid_to,
        people[row.issuer_id],
        people[row.receiver_id],
        tuple(people[one] for one in crew),
    )


def _people(keys: set[str]) -> dict[str, e.Person]:
    awards = _grouped(Award.objects.filter(person__pk__among=keys).select_related("course").order_by(ByCodePoint("award")), "person_id", _award)
    rows = Person.objects.filter(person__among=keys)
    return {row.pk: e.Person(row.pk, row.name, row.left_on, awards.get(row.pk, ())) for row in rows}


def _award(row: Award) -> CoverAward:
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


def _rules(sites: Iterable[Site]) -> Groups[Row]:
    rows = Rule.objects.filter(rule_set__pk__among={row.rule_set_id for row in sites}).order_by(ByCodePoint("key"), "effective_from")
    return _grouped(rows, "rule_set_id", lambda row: Row(row.key, row.effective_from, row.value, row.source))


def _enquiries(sites: Iterable[str]) -> Groups[e.Enquiry]:
    rows = list(surveys.Enquiry.objects.filter(site__pk__among=sites).order_by(ByCodePoint("enquiry")))
    shown = list(surveys.PlanService.objects.filter(enquiry__site__pk__among=sites).order_by(ByCodePoint("service")))
    same = _linked(surveys.PlanService.same_as.through, "from_planservice", "to_planservice", [row.pk for row in shown])
    services = _grouped(shown, "enquiry_id", lambda row: e.PlanService(row.pk, row.enquiry_id, row.utility, row.conductive, same.get(row.pk, ())))
    replaces = _linked(surveys.Enquiry.replaces.through, "from_enquiry", "to_enquiry", [row.pk for row in rows])
    return _grouped(rows, "site_id", lambda row: _enquiry(row, replaces.get(row.pk, ()), services.get(row.pk, ())))


def _enquiry(row: surveys.Enquiry, replaces: tuple[str, ...], services: tuple[e.PlanService, ...]) -> e.Enquiry:
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
    )


def _locates(rows: dict[str, surveys.Locate], people: dict[str, e.Person]) -> dict[str, e.Locate]:
    kinds = ("receiver", "transmitter", "clamp", "sonde")
    kit = _instruments(_named(getattr(row, f"{kind}_id") for row in rows.values() for kind in kinds))
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


def _instruments(keys: set[str]) -> dict[str, fitness.Instrument]:
    calibrations = _grouped(instruments.Calibration.objects.filter(instrument__pk__among=keys), "instrument_id", _calibration)
    checks = _grouped(
        instruments.Check.objects.filter(instrument__pk__among=keys),
        "instrument_id",
        lambda row: fitness.Check(row.pk, row.kind, row.checked_at, row.result),
    )
    return {
        row.pk: fitness.Instrument(
            row.pk,
            row.kind,
            row.serial_no,
            row.description,
            row.calibration_months,
            row.self_test_days,
            row.out_of_service_from,
            row.hired_until,
            calibrations.get(row.pk, ()),
            checks.get(row.pk, ()),
        )
        for row in instruments.Instrument.objects.filter(instrument__among=keys)
    }


def _calibration(row: instruments.Calibration) -> fitness.Calibration:
    return fitness.Calibration(row.pk, row.calibrated_on, row.due_on, row.as_found, row.as_left, row.laboratory, row.certificate_no)
