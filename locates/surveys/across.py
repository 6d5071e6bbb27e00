"""What must fit between records of surveys, looked at where one of them changed."""

from collections.abc import Collection, Iterator
from itertools import islice
from typing import Any

from django.db.models import F, Q

from locates.surveys import rules
from locates.surveys.models import Enquiry, Locate, Outcome, PlanService, Trace, WrongPlan
from records.rules.words import INSTRUMENT_KINDS
from records.rules.wrong import Wrong
from records.tables import Found

Replaces, SameAs, Services = Enquiry.replaces.through, PlanService.same_as.through, Trace.services.through


def replacements(enquiries: Collection[str]) -> Found:
    """Replaced enquiries of another site or owner, or sent on a later day."""
    pairs = Replaces.objects.filter(Q(from_enquiry__in=enquiries) | Q(to_enquiry__in=enquiries)).order_by("from_enquiry", "to_enquiry")
    for pair in pairs.select_related("from_enquiry", "to_enquiry").defer("from_enquiry__area", "to_enquiry__area").iterator():
        for column, says in rules.replacement_faults(pair.from_enquiry, pair.to_enquiry):
            yield _at_either_end(pair.from_enquiry_id, "replaces", pair.to_enquiry_id, column, says, enquiries)


def _at_either_end(new: str, naming: str, old: str, column: str, says: str, changed: Collection[str]) -> tuple[str, Wrong]:
    """The fault is said of the record that names the other where that one is among the changed, else of the named one."""
    return (new, Wrong(naming, says)) if new in changed else (old, Wrong(column, f"{new} names it in {naming}: {says}"))


def replacement_rings(enquiries: Collection[str]) -> Found:
    """Enquiries that replace themselves, directly or through others. All of a ring are of one site and day, or another fault is said of it."""
    edges: dict[str, set[str]] = {}
    these = Enquiry.objects.filter(enquiry__in=enquiries)
    near = Replaces.objects.filter(from_enquiry__site__in=these.values("site"), from_enquiry__sent_on__in=these.values("sent_on"))
    pairs = near.filter(from_enquiry__site=F("to_enquiry__site"), from_enquiry__sent_on=F("to_enquiry__sent_on"))
    for new, old in pairs.values_list("from_enquiry_id", "to_enquiry_id").iterator():
        edges.setdefault(new, set()).add(old)
    for enquiry in sorted(rules.rings(edges) & set(enquiries)):
        yield enquiry, Wrong("replaces", f"enquiry {enquiry} replaces itself, directly or through others: earlier enquiries were expected")


def samenesses(services: Collection[str]) -> Found:
    """Services that are said to be the same and cannot be."""
    pairs = SameAs.objects.filter(Q(from_planservice__in=services) | Q(to_planservice__in=services)).order_by("from_planservice", "to_planservice")
    for pair in pairs.select_related("from_planservice__enquiry", "to_planservice__enquiry").iterator():
        for column, says in rules.sameness_faults(pair.from_planservice, pair.to_planservice):
            yield _at_either_end(pair.from_planservice_id, "same_as", pair.to_planservice_id, column, says, services)


def services_beside_nothing_shown(enquiries: Collection[str]) -> Found:
    """Answers that say nothing_shown and have services."""
    shown = PlanService.objects.filter(enquiry__in=enquiries, enquiry__nothing_shown=True).order_by("service")
    for service, enquiry in shown.values_list("service", "enquiry_id"):
        yield enquiry, Wrong("nothing_shown", f"service {service} is entered for it: no services were expected beside nothing_shown")


def found_wrong_before(enquiries: Collection[str]) -> Found:
    """Answers that would be found wrong before they were given."""
    early = WrongPlan.objects.filter(enquiry__in=enquiries, found_at__lt=F("enquiry__answered_at")).order_by("wrong")
    for wrong, enquiry in early.values_list("wrong", "enquiry_id"):
        yield enquiry, Wrong("answered_at", f"{wrong} tells that it was found wrong before: an earlier instant was expected")


def _elsewhere(pairs: Any, place: str, service_place: str) -> Iterator[tuple[Any, ...]]:
    return pairs.exclude(**{place: F(service_place)}).order_by("pk").iterator()


def traced_elsewhere(traces: Collection[str]) -> Found:
    """Traces that name a service of another site than their locate's."""
    pairs = Services.objects.filter(trace__in=traces).values_list("trace_id", "planservice_id")
    for trace, service in _elsewhere(pairs, "trace__locate__site", "planservice__enquiry__site"):
        yield trace, Wrong("services", f"service {service} is of another site: services of the locate's own site were expected")


def moved_locates(locates: Collection[str]) -> Found:
    """Locates whose traces or outcomes name a service of another site."""
    traced = Services.objects.filter(trace__locate__in=locates).values_list("trace__locate_id", "planservice_id")
    yield from _moved(_elsewhere(traced, "trace__locate__site", "planservice__enquiry__site"), "site")
    told = Outcome.objects.filter(locate__in=locates).values_list("locate_id", "service_id")
    yield from _moved(_elsewhere(told, "locate__site", "service__enquiry__site"), "site")


def moved_services(services: Collection[str]) -> Found:
    """Services that a trace or an outcome at another site names."""
    traced = Services.objects.filter(planservice__in=services).values_list("planservice_id", "trace_id")
    yield from _moved(_elsewhere(traced, "trace__locate__site", "planservice__enquiry__site"), "enquiry")
    told = Outcome.objects.filter(service__in=services).values_list("service_id", "locate_id")
    yield from _moved(_elsewhere(told, "locate__site", "service__enquiry__site"), "enquiry")


def _moved(pairs: Iterator[tuple[Any, ...]], column: str) -> Found:
    for moved, other in pairs:
        yield moved, Wrong(column, f"it would be of another site than {other}, which goes with it: the same site was expected")


def answers_by_the_clock(sites: Collection[str]) -> Found:
    """Answers whose days no longer fit in the site's time zone."""
    answered = Enquiry.objects.filter(site__in=sites, answered_at__isnull=False).select_related("site").defer("area").order_by("enquiry")
    for enquiry in answered.iterator():
        for wrong in islice(enquiry.wrongs(), 1):
            yield enquiry.site_id, Wrong("time_zone", f"enquiry {enquiry.enquiry} would no longer fit: {wrong.column}: {wrong.says}")


def instruments_of_another_kind(instruments: Collection[str]) -> Found:
    """Instruments that a locate uses as what they are no longer."""
    for kind in INSTRUMENT_KINDS:
        using = Locate.objects.filter(**{f"{kind}__in": instruments}).exclude(**{f"{kind}__kind": kind}).order_by("locate")
        for locate, instrument in using.values_list("locate", f"{kind}_id"):
            yield instrument, Wrong("kind", f"locate {locate} uses it as its {kind}: {kind} was expected")
