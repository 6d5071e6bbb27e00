"""What signed permits rest on."""

from collections.abc import Collection

from django.db.models import F, Min

from locates.permits.models import Permit
from locates.surveys.models import PlanService

Resting = dict[str, str]


def signed(permits: Collection[str]) -> Resting:
    """Of these permits the signed ones, each said so."""
    found = Permit.objects.filter(sign_offs__isnull=False, permit__in=permits).values_list("permit", flat=True)
    return {permit: f"permit {permit} is signed" for permit in found}


def on_courses(courses: Collection[str]) -> Resting:
    """Courses of which the issuer or receiver of a signed permit, or one of its crew, holds an award."""
    found: Resting = {}
    for who in ("issuer", "receiver", "crew"):
        holders = Permit.objects.filter(sign_offs__isnull=False, **{f"{who}__awards__course__in": courses})
        found.update(_said(holders.values_list(f"{who}__awards__course").annotate(Min("permit"))))
    return found


def on_sites(sites: Collection[str]) -> Resting:
    """Sites with a signed permit."""
    return _said(Permit.objects.filter(sign_offs__isnull=False, site__in=sites).values_list("site").annotate(Min("permit")))


def on_services(services: Collection[str]) -> Resting:
    """Services of answers given before a permit of their site was signed."""
    given = PlanService.objects.filter(service__in=services, enquiry__site__permits__sign_offs__signed_at__gte=F("enquiry__answered_at"))
    return _said(given.values_list("service").annotate(Min("enquiry__site__permits__permit")))


def _said(found: Collection[tuple[str, str]]) -> Resting:
    return {id: f"the signed permit {permit}" for id, permit in found}
