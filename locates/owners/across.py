"""What must fit between agreements with owners and what they name, looked at where that changed."""

from collections.abc import Collection
from itertools import islice

from django.db.models import QuerySet

from locates.owners.models import OwnerAgreement
from records.rules.wrong import Wrong
from records.tables import Found


def by_the_clock(sites: Collection[str]) -> Found:
    """Agreements whose days no longer fit in the site's time zone."""
    yield from _unfit(OwnerAgreement.objects.filter(site__in=sites), "site_id", "time_zone")


def moved_services(services: Collection[str]) -> Found:
    """Services that an agreement of another site or owner names."""
    yield from _unfit(OwnerAgreement.objects.filter(service__in=services), "service_id", "enquiry")


def moved_enquiries(enquiries: Collection[str]) -> Found:
    """Enquiries with a service that an agreement of another site or owner names."""
    yield from _unfit(OwnerAgreement.objects.filter(service__enquiry__in=enquiries), "service.enquiry_id", "service_owner")


def _unfit(agreements: QuerySet[OwnerAgreement], changed: str, column: str) -> Found:
    """Said of the changed record, which the agreement leads to."""
    for one in agreements.select_related("site", "service__enquiry").defer("area", "service__enquiry__area").order_by("agreement").iterator():
        for wrong in islice(one.wrongs(), 1):
            name = one.service.enquiry_id if changed == "service.enquiry_id" else getattr(one, changed)
            yield name, Wrong(column, f"agreement {one.agreement} would no longer fit: {wrong.column}: {wrong.says}")
