"""What is told ahead: as the firm arranges it, as each person would have it, and what was told already."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from records.base import Record
from records.letters.models import Letter


class Arranged(Record):
    """Who is told what, and how many days ahead, as canonical JSON. The latest row counts; those before stay."""

    told = models.TextField()

    def __str__(self) -> str:
        return f"what is told ahead since {self.recorded_at}"


class Chosen(Record):
    """The days ahead at which somebody would be told, by line, as canonical JSON. Their latest row counts; those before stay."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="told_ahead")
    told = models.TextField()

    class Meta:
        verbose_name_plural = "chosen"

    def __str__(self) -> str:
        return f"what is told ahead to {self.person_id}"


class Round(models.Model):
    """The readers of one zone were told ahead what lapses, on one day there: once, whoever else watches. No record: the letters are."""

    zone = models.CharField(max_length=60)
    day = models.DateField()
    at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["zone", "day"], name="watch_one_round_a_day")]

    def __str__(self) -> str:
        return f"{self.zone} {self.day}"


class Told(models.Model):
    """Somebody was told, by this letter, that a thing lapses after its last day, so many days ahead: for ever once. No record: the letter is."""

    letter = models.ForeignKey(Letter, models.PROTECT, related_name="told")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="told")
    thing = models.CharField(max_length=200)
    last_day = models.DateField()
    days = models.PositiveSmallIntegerField()

    class Meta:
        verbose_name_plural = "told"
        constraints: ClassVar = [models.UniqueConstraint(fields=["person", "thing", "last_day", "days"], name="watch_told_once")]
        indexes: ClassVar = [models.Index(fields=["last_day", "person"], name="watch_told_ahead")]

    def __str__(self) -> str:
        return f"{self.person_id}: {self.thing} {self.days} days before {self.last_day}"
