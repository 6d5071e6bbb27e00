"""Stored instruments with their histories, as the arithmetic of fitness needs them."""

from collections import defaultdict
from collections.abc import Collection

from locates.instruments import models
from locates.rules import fitness


def histories(keys: Collection[str]) -> dict[str, fitness.Instrument]:
    """Each of the instruments with all its calibrations and checks. Three queries, however many there are."""
    calibrations: dict[str, list[fitness.Calibration]] = defaultdict(list)
    for row in models.Calibration.objects.filter(instrument__pk__among=keys):
        calibrations[row.instrument_id].append(
            fitness.Calibration(row.pk, row.calibrated_on, row.due_on, row.as_found, row.as_left, row.laboratory, row.certificate_no)
        )
    checks: dict[str, list[fitness.Check]] = defaultdict(list)
    for row in models.Check.objects.filter(instrument__pk__among=keys):
        checks[row.instrument_id].append(fitness.Check(row.pk, row.kind, row.checked_at, row.result))
    rows = models.Instrument.objects.filter(instrument__among=keys)
    return {row.pk: _history(row, tuple(calibrations[row.pk]), tuple(checks[row.pk])) for row in rows}


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
