"""What makes a trial hole or a report to an owner wrong."""

from collections.abc import Iterator
from typing import Any

from records.rules.wrong import Wrong

SUBJECTS = ("trace", "hole", "service")


def hole_wrongs(hole: Any, trace: Any) -> Iterator[Wrong]:
    """The fault of a trial hole at a trace of another locate, where that is known."""
    yield from _of_another_locate(hole, "trace", trace)


def report_wrongs(report: Any, trace: Any, hole: Any, service: Any, locate: Any) -> Iterator[Wrong]:
    """The faults of a report: it tells of nothing, or of what belongs to another locate or site, so far as they are known."""
    if all(getattr(report, f"{subject}_id") is None for subject in SUBJECTS):
        yield Wrong("trace", "it tells of nothing: a trace, a trial hole or a service of the plans was expected", ("hole", "service"))
    yield from _of_another_locate(report, "trace", trace)
    yield from _of_another_locate(report, "hole", hole)
    if None not in (service, locate) and service.enquiry.site_id != locate.site_id:
        says = f"service {service.service} is of site {service.enquiry.site_id}: one of the locate's own site, {locate.site_id}, was expected"
        yield Wrong("service", says, ("locate",))


def _of_another_locate(record: Any, column: str, part: Any) -> Iterator[Wrong]:
    if part is not None and record.locate_id is not None and part.locate_id != record.locate_id:
        says = f"{part._meta.verbose_name} {part.pk} is of locate {part.locate_id}: one of locate {record.locate_id} was expected"
        yield Wrong(column, says, ("locate",))
