"""What was decided of each locate and permit that rested on a thing in doubt."""

from collections.abc import Iterable
from functools import reduce
from operator import or_
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from locates.instruments.models import Calibration, Check
from locates.permits.models import Permit
from locates.recall.rules.decided import DECISIONS, FINDINGS, SUBJECTS, decision_wrongs
from locates.surveys.models import Locate, WrongPlan
from records.base import IdentifierField, Record, choices, word_check
from records.rules.wrong import Wrong
from training.models import Award


def one_of(*columns: str) -> Q:
    """Exactly one of the columns is filled."""
    return reduce(or_, (Q(**{f"{column}__isnull": column != filled for column in columns}) for filled in columns))


def named(model: type[models.Model]) -> models.ForeignKey:
    return models.ForeignKey(model, models.PROTECT, related_name="decisions", null=True, blank=True)


class Decision(Record):
    """What somebody decided of one locate or permit, upon one finding, and why. It stays; a later one takes its place.

    The finding is a calibration, a failed check, a withdrawn award or a plan found wrong.
    """

    HAPPENED = "decided_at"

    decision = IdentifierField(primary_key=True)
    calibration = named(Calibration)
    failed_check = named(Check)
    award = named(Award)
    wrong = named(WrongPlan)
    locate = named(Locate)
    permit = named(Permit)
    decided = models.CharField(max_length=20, choices=choices(DECISIONS))
    why = models.TextField(max_length=2000)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="decisions")
    decided_at = models.DateTimeField()

    class Meta:
        verbose_name = "decision upon a recall"
        verbose_name_plural = "decisions upon recalls"
        constraints: ClassVar = [
            word_check("recall", "decided", DECISIONS),
            models.CheckConstraint(condition=one_of(*FINDINGS), name="recall_upon_one_finding"),
            models.CheckConstraint(condition=one_of(*SUBJECTS), name="recall_of_one_record"),
        ]

    def __str__(self) -> str:
        return self.decision

    def wrongs(self) -> Iterable[Wrong]:
        return decision_wrongs(self)
