"""The rows of a dig's diary."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from locates.instruments.models import Instrument
from locates.life.models import Step
from locates.lookovers.rules.words import EXPOSURE, KINDS, LOOK_OVER, OCCASIONS, PARTS, SWEEP
from locates.permits.models import Permit
from locates.surveys.models import metres, within
from locates.trials.models import TrialHole
from records.base import ListField, Record, choices, word_check


class DiaryRow(Record):
    """What somebody on a permit looked at, swept again or exposed while it was dug by, or what happened there. It never changes.

    `number` counts the permit's rows from 1; `part`: what the person was to the permit then. Of a look-over: its `occasion`, which points were `wrong`,
    what was declared, the `action` taken and what is `further` to be done. Of a sweep: the `techniques`, the receiver, where, and how deep the dig had
    come (`depth_m`). Of an exposure: the `hole`. Of an event: the `occasion`. `found`: something that is not on the plan. `stop`: the step by which
    this row stopped the work.
    """

    HAPPENED = "happened_at"

    permit = models.ForeignKey(Permit, models.PROTECT, related_name="diary")
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=20, choices=choices(KINDS))
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="diary_rows")
    printed_name = models.TextField()
    part = models.CharField(max_length=20, choices=choices(PARTS))
    happened_at = models.DateTimeField(db_index=True)
    occasion = models.CharField(max_length=20, choices=choices(OCCASIONS), blank=True)
    wrong = ListField(blank=True)
    declaration = models.TextField(blank=True)
    note = models.TextField(max_length=1000, blank=True)
    action = models.TextField(max_length=1000, blank=True)
    further = models.TextField(max_length=1000, blank=True)
    techniques = ListField(blank=True)
    receiver = models.ForeignKey(Instrument, models.PROTECT, related_name="diary_rows", null=True, blank=True)
    place = models.TextField(max_length=1000, blank=True)
    depth_m = metres()
    found = models.BooleanField(default=False)
    hole = models.OneToOneField(TrialHole, models.PROTECT, related_name="diary_row", null=True, blank=True)
    stop = models.OneToOneField(Step, models.PROTECT, related_name="diary_row", null=True, blank=True)

    class Meta:
        verbose_name = "row of the diary"
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["permit", "number"], name="lookovers_one_row_at_a_time"),
            word_check("lookovers", "kind", KINDS),
            word_check("lookovers", "part", PARTS),
            models.CheckConstraint(condition=within("depth_m", gte=0) & within("depth_m", lte=100), name="lookovers_depth"),
            models.CheckConstraint(condition=~Q(kind=LOOK_OVER) | (Q(occasion__in=OCCASIONS) & ~Q(declaration="")), name="lookovers_look_over"),
            models.CheckConstraint(
                condition=~Q(kind=SWEEP) | (Q(receiver__isnull=False, depth_m__isnull=False) & ~Q(techniques="") & ~Q(place="")), name="lookovers_sweep"
            ),
            models.CheckConstraint(condition=Q(kind=EXPOSURE, hole__isnull=False) | (~Q(kind=EXPOSURE) & Q(hole__isnull=True)), name="lookovers_exposure"),
        ]

    def __str__(self) -> str:
        return f"{self.permit_id}/{self.number}-{self.kind}"

    @property
    def sound(self) -> bool:
        """Was everything as it should be, and nothing found?"""
        return not self.wrong and not self.found
