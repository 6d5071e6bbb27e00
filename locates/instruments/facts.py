"""Stored instruments with their histories, as the arithmetic of fitness needs them."""

from collections import defaultdict
from collections.abc import Collection
from datetime import datetime

from django.db.models import OuterRef, Subquery

from locates.instruments import models
from locates.rules import fitness


def histories(keys: Collection[str]) -> dict[str, fitness.Instrument]:
    """Each of the instruments with all its calibrations and checks. Three queries, however many there are."""
    calibrations: dict[str, list[fitness.Calibration]] = defaultdict(list)
    for row in models.Calibration.objects.filter(instrument__pk__among=keys):
        calibrations[row.instrument_id].append(_calibration(row))
    checks: dict[str, list[fitness.Check]] = defaultdict(list)
    for row in models.Check.objects.filter(instrument__pk__among=keys):
        checks[row.instrument_id].append(_check(row))
    rows = models.Instrument.objects.filter(instrument__among=keys)
    return {row.pk: _history(row, tuple(calibrations[row.pk]), tuple(checks[row.pk])) for row in rows}


def for_due(at: datetime) -> dict[str, fitness.Instrument]:
    """Every instrument with all its calibrations, and of its checks the latest self-test by the instant: what says when it is next due. Three queries."""
    newest = models.Check.objects.filter(instrument=OuterRef("pk"), kind="self_test", checked_at__lte=at).order_by("-checked_at", "-check_id").values("pk")[:1]
    rows = list(models.Instrument.objects.annotate(last_test=Subquery(newest)).order_by("instrument"))
    calibrations: dict[str, list[fitness.Calibration]] = defaultdict(list)
    for row in models.Calibration.objects.all():
        calibrations[row.instrument_id].append(_calibration(row))
    tests = {row.instrument_id: _check(row) for row in models.Check.objects.filter(check_id__among={row.last_test for row in rows if row.last_test})}
    return {row.pk: _history(row, tuple(calibrations[row.pk]), tuple(filter(None, [tests.get(row.pk)]))) for row in rows}


def _calibration(row: models.Calibration) -> fitness.Calibration:
    return fitness.Calibration(row.pk, row.calibrated_on, row.due_on, row.as_found, row.as_left, row.laboratory, row.certificate_no)


def _check(row: models.Check) -> fitness.Check:
    return fitness.Check(row.pk, row.kind, row.checked_at, row.result)


def _history(row: models.Instrument, calibrations: tuple[fitness.Calibration, ...], checks: tuple[fitness.Check, ...]) -> fitness.Instrument:
    return fitness.Instrument(
        row.pk,
        row.kind,
        row.serial_no,
        row.description,
        row.calibration_months,
        row.self_test_days,
        row.out_of_service_from,
        row.hired_until,
        calibrations,
        checks,
    )
