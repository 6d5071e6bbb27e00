"""Courses and the awards people hold from them."""

from collections.abc import Iterable
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from records.base import IdentifierField, ListField, Record, choices, word_check
from records.rules import columns, kinds, words
from records.rules.wrong import Wrong
from training.rules.awards import award_wrongs


class Course(Record):
    """What is taught, what it authorises, and for how many months (none: it does not expire)."""

    KINDS: ClassVar = {"valid_months": columns.MONTHS, "authorises": kinds.Items(kinds.Word(words.AUTHORISATIONS))}

    course = IdentifierField(primary_key=True)
    title = models.TextField(max_length=2000)
    valid_months = models.PositiveSmallIntegerField(null=True, blank=True)
    authorises = ListField()

    class Meta:
        constraints: ClassVar = [models.CheckConstraint(condition=Q(valid_months=None) | Q(valid_months__range=(1, 1200)), name="training_course_months")]

    def __str__(self) -> str:
        return f"{self.title} ({self.course})"


class Need(Record):
    """What a role needs to be authorised for, from a day on. A change is a new row with a later day, never an edit."""

    HAPPENED = "effective_from"
    KINDS: ClassVar = {"authorises": kinds.Items(kinds.Word(words.AUTHORISATIONS))}

    need = IdentifierField(primary_key=True)
    role = models.CharField(max_length=20, choices=choices(words.NEEDING_ROLES))
    effective_from = models.DateField()
    authorises = ListField()
    source = models.TextField(max_length=2000, blank=True)

    class Meta:
        constraints: ClassVar = [
            word_check("training_need", "role", words.NEEDING_ROLES),
            models.UniqueConstraint(fields=["role", "effective_from"], name="training_need_once"),
        ]

    def __str__(self) -> str:
        return self.need


class Award(Record):
    """One person passed one course on one day. A withdrawal is a later fact, with its reason."""

    HAPPENED = "awarded_on"

    award = IdentifierField(primary_key=True)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="awards")
    course = models.ForeignKey(Course, models.PROTECT, related_name="awards")
    awarded_on = models.DateField()
    expires_on = models.DateField(null=True, blank=True)
    certificate_no = models.TextField(max_length=2000, blank=True)
    assessor = models.TextField(max_length=2000, blank=True)
    withdrawn_on = models.DateField(null=True, blank=True)
    withdrawn_because = models.TextField(max_length=2000, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(expires_on=None) | Q(expires_on__gte=F("awarded_on")), name="training_award_expires_after"),
            models.CheckConstraint(condition=Q(withdrawn_on=None) | Q(withdrawn_on__gte=F("awarded_on")), name="training_award_withdrawn_after"),
            models.CheckConstraint(
                condition=Q(withdrawn_on=None, withdrawn_because="") | (Q(withdrawn_on__isnull=False) & ~Q(withdrawn_because="")),
                name="training_award_withdrawn_because",
            ),
        ]

    def __str__(self) -> str:
        return self.award

    def wrongs(self) -> Iterable[Wrong]:
        return award_wrongs(self, self.known("course"))
