"""Instruments, their calibrations, and the checks made before use."""

from collections.abc import Iterable
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from locates.instruments import rules
from records.base import IdentifierField, Record, choices, word_check
from records.rules import columns, words
from records.rules.wrong import Wrong


class Instrument(Record):
    """A receiver, transmitter, clamp or sonde with its intervals (none: it needs none)."""

    KINDS: ClassVar = {"calibration_months": columns.MONTHS, "self_test_days": columns.DAYS}

    instrument = IdentifierField(primary_key=True)
    kind = models.CharField(max_length=20, choices=choices(words.INSTRUMENT_KINDS))
    serial_no = models.TextField(max_length=2000)
    description = models.TextField(max_length=2000, blank=True)
    calibration_months = models.PositiveSmallIntegerField(null=True, blank=True)
    self_test_days = models.PositiveSmallIntegerField(null=True, blank=True)
    out_of_service_from = models.DateField(null=True, blank=True)
    hired_until = models.DateField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            word_check("instruments", "kind", words.INSTRUMENT_KINDS),
            models.CheckConstraint(condition=Q(calibration_months=None) | Q(calibration_months__range=(1, 1200)), name="instruments_months"),
            models.CheckConstraint(condition=Q(self_test_days=None) | Q(self_test_days__range=(1, 3660)), name="instruments_days"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.instrument}"


class Calibration(Record):
    """What a laboratory found and left on a day."""

    HAPPENED = "calibrated_on"

    calibration = IdentifierField(primary_key=True)
    instrument = models.ForeignKey(Instrument, models.PROTECT, related_name="calibrations")
    calibrated_on = models.DateField()
    due_on = models.DateField(null=True, blank=True)
    laboratory = models.TextField(max_length=2000, blank=True)
    certificate_no = models.TextField(max_length=2000, blank=True)
    as_found = models.CharField(max_length=20, choices=choices(words.AS_FOUND))
    as_left = models.CharField(max_length=20, choices=choices(words.AS_FOUND))

    class Meta:
        constraints: ClassVar = [
            word_check("instruments", "as_found", words.AS_FOUND),
            word_check("instruments", "as_left", words.AS_FOUND),
            models.CheckConstraint(condition=Q(due_on=None) | Q(due_on__gte=F("calibrated_on")), name="instruments_due_after"),
        ]

    def __str__(self) -> str:
        return self.calibration

    def wrongs(self) -> Iterable[Wrong]:
        return rules.calibration_wrongs(self, self.known("instrument"))


class Check(Record):
    """A before-use check or a self-test, by a person, at an instant."""

    HAPPENED = "checked_at"

    check_id = IdentifierField(primary_key=True, db_column="check")
    instrument = models.ForeignKey(Instrument, models.PROTECT, related_name="checks")
    kind = models.CharField(max_length=20, choices=choices(words.CHECK_KINDS))
    checked_at = models.DateTimeField()
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="checks_made")
    result = models.CharField(max_length=10, choices=choices(words.CHECK_RESULTS))
    note = models.TextField(max_length=2000, blank=True)

    class Meta:
        constraints: ClassVar = [
            word_check("instruments_check", "kind", words.CHECK_KINDS),
            word_check("instruments_check", "result", words.CHECK_RESULTS),
        ]

    def __str__(self) -> str:
        return self.check_id
