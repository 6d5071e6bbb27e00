"""What finished locates rest on."""

from collections.abc import Collection
from datetime import UTC, date, datetime, time, timedelta

from django.db.models import F, Min, Q, QuerySet

from locates.grids.models import Grid
from locates.instruments.models import Calibration, Check
from locates.surveys.models import Enquiry, Locate, Outcome, PlanService, Trace
from records.rules.words import INSTRUMENT_KINDS

Resting = dict[str, str]
FINISHED = Q(finished_at__isnull=False)


def finished(locates: Collection[str]) -> Resting:
    """Of these locates the finished ones, each said so."""
    found = Locate.objects.filter(FINISHED, locate__in=locates).values_list("locate", flat=True)
    return {locate: f"locate {locate} is finished" for locate in found}


def _said(found: QuerySet) -> Resting:
    return {id: f"the finished locate {locate}" for id, locate in found}


def on_courses(courses: Collection[str]) -> Resting:
    """Courses of which the operator of a finished locate holds an award."""
    return _said(Locate.objects.filter(FINISHED, operator__awards__course__in=courses).values_list("operator__awards__course").annotate(Min("locate")))


def on_instruments(instruments: Collection[str]) -> Resting:
    """Instruments that a finished locate used."""
    found: Resting = {}
    for kind in INSTRUMENT_KINDS:
        found.update(_said(Locate.objects.filter(FINISHED, **{f"{kind}__in": instruments}).values_list(kind).annotate(Min("locate"))))
    return found


def on_sites(sites: Collection[str]) -> Resting:
    """Sites with a finished locate."""
    return _said(Locate.objects.filter(FINISHED, site__in=sites).values_list("site").annotate(Min("locate")))


def on_grids(grids: Collection[str]) -> Resting:
    """Grids by which positions of a finished locate lie: those that were there before it was finished, or recorded."""
    later = Q(site__locates__finished_at__gte=F("recorded_at")) | Q(site__locates__recorded_at__gte=F("recorded_at"))
    return _said(
        Grid.objects.filter(later, site__in=grids, site__locates__finished_at__isnull=False).values_list("site").annotate(Min("site__locates__locate"))
    )


def on_awards(awards: Collection[str]) -> Resting:
    """Awards of the operators of finished locates."""
    return _said(Locate.objects.filter(FINISHED, operator__awards__in=awards).values_list("operator__awards").annotate(Min("locate")))


def on_calibrations(calibrations: Collection[str]) -> Resting:
    """Calibrations of instruments that a finished locate used."""
    return _beneath(dict(Calibration.objects.filter(calibration__in=calibrations).values_list("calibration", "instrument")))


def on_checks(checks: Collection[str]) -> Resting:
    """Checks of instruments that a finished locate used."""
    return _beneath(dict(Check.objects.filter(check_id__in=checks).values_list("check_id", "instrument")))


def _beneath(instruments: dict[str, str]) -> Resting:
    used = on_instruments(set(instruments.values()))
    return {one: used[instrument] for one, instrument in instruments.items() if instrument in used}


def on_enquiries(enquiries: Collection[str]) -> Resting:
    """Answers given before a finished locate of their site began."""
    searched = Enquiry.objects.filter(enquiry__in=enquiries, site__locates__finished_at__isnull=False, site__locates__started_at__gte=F("answered_at"))
    return _said(searched.values_list("enquiry").annotate(Min("site__locates__locate")))


def on_rules(rules: Collection[str]) -> Resting:
    """Numbers in force at a site with a finished locate. The day is the site's: nowhere on Earth is it more than a day from UTC's."""
    found: Resting = {}
    for rule_set, day, key in (one.split("/") for one in rules):
        begun = datetime.combine(date.fromisoformat(day), time(), UTC) - timedelta(days=1)
        locate = Locate.objects.filter(FINISHED, site__rule_set=rule_set, finished_at__gte=begun).aggregate(first=Min("locate"))["first"]
        if locate:
            found[f"{rule_set}/{day}/{key}"] = f"the finished locate {locate}"
    return found


def on_services(services: Collection[str]) -> Resting:
    """Services that a finished locate names, itself or as the same one, and those it had to account for: of answers given before it began."""
    given = PlanService.objects.filter(
        service__in=services,
        enquiry__site__locates__finished_at__isnull=False,
        enquiry__site__locates__started_at__gte=F("enquiry__answered_at"),
    )
    owed = _said(given.values_list("service").annotate(Min("enquiry__site__locates__locate")))
    families = families_of(set(services) - owed.keys())
    named = _named({one for members in families.values() for one in members})
    return owed | {service: named[min(held)] for service, members in families.items() if (held := members & named.keys())}


def _named(services: Collection[str]) -> Resting:
    """Services that a trace or an outcome of a finished locate names."""
    told = Outcome.objects.filter(service__pk__among=services, locate__finished_at__isnull=False)
    traced = Trace.services.through.objects.filter(planservice__pk__among=services, trace__locate__finished_at__isnull=False)
    return _said(told.values_list("service").annotate(Min("locate"))) | _said(traced.values_list("planservice").annotate(Min("trace__locate")))


def families_of(services: Collection[str]) -> dict[str, set[str]]:
    """For each of the services, itself and all that are the same as it, in either direction, followed through."""
    families = {service: {service} for service in services}
    frontier = set(services)
    while frontier:
        pairs = PlanService.same_as.through.objects.filter(Q(from_planservice__pk__among=frontier) | Q(to_planservice__pk__among=frontier))
        near = list(pairs.values_list("from_planservice_id", "to_planservice_id"))
        frontier = {one for pair in near for one in pair} - families.keys()
        for one, other in near:
            _join(families, one, other)
    return {service: families[service] for service in services}


def _join(families: dict[str, set[str]], one: str, other: str) -> None:
    """Make one family of two: the members of the smaller move to the larger."""
    smaller, larger = sorted((families.setdefault(one, {one}), families.setdefault(other, {other})), key=len)
    if smaller is not larger:
        larger |= smaller
        families.update(dict.fromkeys(smaller, larger))
