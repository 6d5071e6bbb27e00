"""The registers of instruments, calibrations and checks."""

from collections.abc import Collection

from locates.instruments.models import Calibration, Check, Instrument
from records import tables
from records.rules.wrong import Wrong
from records.tables import Found, always, table


def calibrations_past_the_months(instruments: Collection[str]) -> Found:
    """Calibrations whose printed due day is later than the instrument's months now allow."""
    printed = Calibration.objects.filter(instrument__in=instruments, due_on__isnull=False)
    for calibration in printed.select_related("instrument").order_by("calibration").iterator():
        for wrong in calibration.wrongs():
            yield calibration.instrument_id, Wrong("calibration_months", f"calibration {calibration.calibration} would no longer fit: its due_on: {wrong.says}")


TABLES = (
    table(
        "instruments.csv",
        Instrument,
        "instrument* kind* serial_no* description calibration_months* self_test_days* out_of_service_from hired_until",
    ),
    table(
        "calibrations.csv",
        Calibration,
        "calibration* instrument* calibrated_on* due_on laboratory certificate_no as_found* as_left*",
        settled=always,
    ),
    table("checks.csv", Check, "check* instrument* kind* checked_at* person* result* note", settled=always),
)
CHECKS = (tables.Check("instruments.csv", frozenset({"calibration_months"}), calibrations_past_the_months),)
FOOTINGS = ()
READINGS = ()
