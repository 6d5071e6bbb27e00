"""What signed permits rest on."""

from collections.abc import Collection
from datetime import UTC, date, datetime, time, timedelta

from django.db.models import F, Min

from locates.owners.models import OwnerAgreement, Rating
from locates.permits.models import Permit
from locates.surveys.models import Enquiry, PlanService, WrongPlan

Resting = dict[str, str]
# by whose awards a permit is signed: theirs who are on it, and theirs who decided that it is an emergency
AWARDED = ("issuer", "receiver", "crew", "emergency__decided_by")


def signed(permits: Collection[str]) -> Resting:
    """Of these permits the signed ones, each said so."""
    found = Permit.objects.filter(sign_offs__isnull=False, permit__in=permits).values_list("permit", flat=True)
    return {permit: f"permit {permit} is signed" for permit in found}


def on_courses(courses: Collection[str]) -> Resting:
    """Courses of which somebody holds an award by whose awards a permit is signed."""
    found: Resting = {}
    for who in AWARDED:
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


def on_awards(awards: Collection[str]) -> Resting:
    """Awards of those by whose awards a permit is signed."""
    found: Resting = {}
    for who in AWARDED:
        holders = Permit.objects.filter(sign_offs__isnull=False, **{f"{who}__awards__in": awards})
        found.update(_said(holders.values_list(f"{who}__awards").annotate(Min("permit"))))
    return found


def on_enquiries(enquiries: Collection[str]) -> Resting:
    """Answers given before a permit of their site was signed."""
    answered = Enquiry.objects.filter(enquiry__in=enquiries, site__permits__sign_offs__signed_at__gte=F("answered_at"))
    return _said(answered.values_list("enquiry").annotate(Min("site__permits__permit")))


def on_wrong_plans(wrong: Collection[str]) -> Resting:
    """Answers found wrong before a permit of their site was signed."""
    found = WrongPlan.objects.filter(wrong__in=wrong, enquiry__site__permits__sign_offs__signed_at__gte=F("found_at"))
    return _said(found.values_list("wrong").annotate(Min("enquiry__site__permits__permit")))


def on_rules(rules: Collection[str]) -> Resting:
    """Numbers in force, or needs of owners, at a site when a permit was signed there.

    The day is the site's: nowhere on Earth is it more than a day from UTC's.
    """
    found: Resting = {}
    for rule_set, day, key in (one.split("/") for one in rules):
        begun = datetime.combine(date.fromisoformat(day), time(), UTC) - timedelta(days=1)
        signed = Permit.objects.filter(site__rule_set=rule_set, sign_offs__signed_at__gte=begun).aggregate(first=Min("permit"))["first"]
        if signed:
            found[f"{rule_set}/{day}/{key}"] = f"the signed permit {signed}"
    return found


def on_ratings(ratings: Collection[str]) -> Resting:
    """Voltages and pressures of services of a site at which a permit was signed since they were recorded."""
    told = Rating.objects.filter(rating__in=ratings, service__enquiry__site__permits__sign_offs__signed_at__gte=F("recorded_at"))
    return _said(told.values_list("rating").annotate(Min("service__enquiry__site__permits__permit")))


def on_owner_agreements(agreements: Collection[str]) -> Resting:
    """Agreements made before a permit of their site was signed."""
    made = OwnerAgreement.objects.filter(agreement__in=agreements, site__permits__sign_offs__signed_at__gte=F("agreed_at"))
    return _said(made.values_list("agreement").annotate(Min("site__permits__permit")))


def _said(found: Collection[tuple[str, str]]) -> Resting:
    return {id: f"the signed permit {permit}" for id, permit in found}
