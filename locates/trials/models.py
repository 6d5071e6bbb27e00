"""Trial holes, where owners' plans show services, and what was told back to owners. Places are in the site's metre grid."""

from collections.abc import Iterable
from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from locates.surveys.models import Locate, PlanService, Trace, metres, within
from locates.trials.rules import wrongs
from records.base import IdentifierField, Record, choices, word_check
from records.rules import columns, words
from records.rules.wkt import FARTHEST_M
from records.rules.wrong import Wrong


def coordinate() -> models.DecimalField:
    """A place along one axis of the site's grid, in metres."""
    return models.DecimalField(max_digits=12, decimal_places=6)


class TrialHole(Record):
    """A service exposed at a point, and how deep it lies there: from the surface to its centre. Without a trace it is something that no trace shows."""

    HAPPENED = "exposed_at"
    KINDS: ClassVar = {**dict.fromkeys(("x", "y"), columns.COORDINATE), **dict.fromkeys(("depth_m", "width_m"), columns.METRES)}

    hole = IdentifierField(primary_key=True)
    locate = models.ForeignKey(Locate, models.PROTECT, related_name="holes")
    trace = models.ForeignKey(Trace, models.PROTECT, related_name="holes", null=True, blank=True)
    exposed_at = models.DateTimeField()
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="holes")
    x = coordinate()
    y = coordinate()
    utility = models.CharField(max_length=20, choices=choices(words.UTILITIES))
    depth_m = models.DecimalField(max_digits=6, decimal_places=3)
    width_m = metres()
    note = models.TextField(max_length=2000, blank=True)

    class Meta:
        verbose_name = "trial hole"
        constraints: ClassVar = [
            word_check("trials_hole", "utility", words.UTILITIES),
            models.CheckConstraint(
                condition=Q(x__range=(-FARTHEST_M, FARTHEST_M), y__range=(-FARTHEST_M, FARTHEST_M)),
                name="trials_hole_place",
            ),
            models.CheckConstraint(condition=Q(depth_m__gt=0, depth_m__lte=100), name="trials_hole_depth"),
            models.CheckConstraint(condition=within("width_m", gt=0) & within("width_m", lte=100), name="trials_hole_width"),
        ]

    def __str__(self) -> str:
        return self.hole

    def wrongs(self) -> Iterable[Wrong]:
        return wrongs.hole_wrongs(self, self.known("trace"))


class PlannedLine(Record):
    """Where an owner's plan shows a service, and how far it may be off by the owner's own word."""

    KINDS: ClassVar = {"line": columns.LINE, "accuracy_m": columns.METRES}

    service = models.OneToOneField(PlanService, models.PROTECT, primary_key=True, related_name="planned")
    line = models.TextField(max_length=100_000)
    accuracy_m = metres()
    note = models.TextField(max_length=2000, blank=True)

    class Meta:
        verbose_name = "planned line"
        constraints: ClassVar = [
            models.CheckConstraint(condition=within("accuracy_m", gt=0) & within("accuracy_m", lte=100), name="trials_line_accuracy"),
        ]

    def __str__(self) -> str:
        return self.service_id


class Report(Record):
    """What a service owner was told of: a service found that no plan shows, or one that lies elsewhere than the plan has it; when and by whom."""

    HAPPENED = "reported_at"

    report = IdentifierField(primary_key=True)
    locate = models.ForeignKey(Locate, models.PROTECT, related_name="reports")
    trace = models.ForeignKey(Trace, models.PROTECT, related_name="reports", null=True, blank=True)
    hole = models.ForeignKey(TrialHole, models.PROTECT, related_name="reports", null=True, blank=True)
    service = models.ForeignKey(PlanService, models.PROTECT, related_name="reports", null=True, blank=True)
    service_owner = models.TextField(max_length=2000)
    reported_at = models.DateTimeField()
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="reports")
    note = models.TextField(max_length=2000, blank=True)

    class Meta:
        verbose_name = "report to an owner"
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(trace__isnull=False) | Q(hole__isnull=False) | Q(service__isnull=False),
                name="trials_report_of_something",
            ),
        ]

    def __str__(self) -> str:
        return self.report

    def wrongs(self) -> Iterable[Wrong]:
        known: dict[str, Any] = {name: self.known(name) for name in (*wrongs.SUBJECTS, "locate")}
        return wrongs.report_wrongs(self, **known)
