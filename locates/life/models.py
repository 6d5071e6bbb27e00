"""The steps of a permit's life after its signatures."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from locates.life.rules.acts import STEPS, UNAIDED, UPON, WATCH
from locates.permits.models import Permit
from records.base import Record, choices, word_check

UNJUDGED = Q(digest="") | Q(sheet="") | Q(verdict="")


class Step(Record):
    """One step: who, when, declaring what, why, how the work was left; and where it was judged, upon exactly what sheet and verdict. It never changes.

    `person` is nobody where the watch made it by itself; then the printed name is the watch's, and its verdict says what had come undone.
    `number` counts the permit's steps from 1. `to` is who was named to take over, `until` the end that an extension gives: the signed permit stays as it is.
    """

    HAPPENED = "done_at"

    permit = models.ForeignKey(Permit, models.PROTECT, related_name="steps")
    number = models.PositiveIntegerField()
    act = models.CharField(max_length=20, choices=choices(STEPS))
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="steps", null=True, blank=True)
    printed_name = models.TextField()
    done_at = models.DateTimeField()
    declaration = models.TextField()
    why = models.TextField(max_length=2000, blank=True)
    left = models.TextField(max_length=2000, blank=True)
    to = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="handed_over", null=True, blank=True)
    until = models.DateTimeField(null=True, blank=True)
    digest = models.CharField(max_length=64, blank=True)
    sheet = models.TextField(blank=True)
    verdict = models.TextField(blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["permit", "number"], name="life_one_step_at_a_time"),
            word_check("life", "act", STEPS),
            models.CheckConstraint(
                condition=(Q(act__in=UPON) & ~UNJUDGED) | (~Q(act__in=UPON) & Q(digest="", sheet="", verdict="")), name="life_judged_where_owed"
            ),
            models.CheckConstraint(
                condition=Q(act__in=UNAIDED, person=None, printed_name=WATCH) | (~Q(act__in=UNAIDED) & Q(person__isnull=False)), name="life_by_nobody"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.permit_id}/{self.number}-{self.act}"
