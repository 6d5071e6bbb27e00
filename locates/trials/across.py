"""What must fit between trial holes, reports and what they name, looked at where that changed."""

from collections.abc import Collection
from typing import Any

from django.db.models import F, QuerySet

from locates.trials.models import Report, TrialHole
from records.rules.wrong import Wrong
from records.tables import Found


def moved_traces(traces: Collection[str]) -> Found:
    """Traces that a trial hole or a report of another locate names."""
    for records in (TrialHole.objects, Report.objects):
        yield from _apart(records.filter(trace__in=traces).exclude(trace__locate=F("locate")), "trace_id", "locate", "locate")


def moved_holes(holes: Collection[str]) -> Found:
    """Trial holes that a report of another locate names."""
    yield from _apart(Report.objects.filter(hole__in=holes).exclude(hole__locate=F("locate")), "hole_id", "locate", "locate")


def moved_services(services: Collection[str]) -> Found:
    """Services that a report at another site names."""
    named = Report.objects.filter(service__in=services)
    yield from _apart(named.exclude(service__enquiry__site=F("locate__site")), "service_id", "enquiry", "site")


def moved_locates(locates: Collection[str]) -> Found:
    """Locates of which a report names a service of another site."""
    told = Report.objects.filter(locate__in=locates, service__isnull=False)
    yield from _apart(told.exclude(service__enquiry__site=F("locate__site")), "locate_id", "site", "site")


def _apart(records: QuerySet[Any], moved: str, column: str, what: str) -> Found:
    for name, other in records.order_by("pk").values_list(moved, "pk"):
        yield name, Wrong(column, f"it would be of another {what} than {other}, which goes with it: the same {what} was expected")
