"""Instruments, calibrations and checks, to read."""

from typing import ClassVar

from django.contrib import admin

from locates.instruments.models import Calibration, Check, Instrument
from records.admin import ReadOnlyAdmin


@admin.register(Instrument)
class InstrumentAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["instrument", "kind", "serial_no", "calibration_months", "self_test_days", "out_of_service_from", "hired_until"]
    list_filter: ClassVar = ["kind"]
    search_fields: ClassVar = ["instrument", "serial_no", "description"]


@admin.register(Calibration)
class CalibrationAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["calibration", "instrument", "calibrated_on", "due_on", "as_found", "as_left", "laboratory"]
    list_filter: ClassVar = ["as_found", "as_left"]
    list_select_related: ClassVar = ["instrument"]
    search_fields: ClassVar = ["calibration", "instrument__instrument", "certificate_no"]


@admin.register(Check)
class CheckAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["check_id", "instrument", "kind", "checked_at", "person", "result"]
    list_filter: ClassVar = ["kind", "result"]
    list_select_related: ClassVar = ["instrument", "person"]
    search_fields: ClassVar = ["check_id", "instrument__instrument", "person__person", "person__name"]
