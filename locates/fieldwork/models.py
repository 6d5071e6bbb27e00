"""What is written down beside a locate while it is made: for which dig, which plans were at hand, how the ground was marked, where the phone said it was."""

from collections.abc import Iterable
from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from locates.fieldwork.rules import wrongs
from locates.surveys.models import Enquiry, Locate, metres, within
from records.base import IdentifierField, ListField, Record, choices
from records.rules import columns, kinds, words
from records.rules.wrong import Wrong


class FieldSheet(Record):
    """The sheet on which one locate is made. Once the locate is finished, it no longer changes."""

    KINDS: ClassVar = {"outline": columns.OUTLINE, "depth_m": columns.METRES, "marks": kinds.Items(kinds.Word(wrongs.MARKS))}

    sheet = IdentifierField(primary_key=True)
    locate = models.OneToOneField(Locate, models.PROTECT, related_name="field_sheet")
    outline = models.TextField(max_length=100_000, blank=True)
    depth_m = metres()
    method = models.CharField(max_length=20, choices=choices(words.METHODS), null=True, blank=True)
    plans_seen = models.ManyToManyField(Enquiry, related_name="+", blank=True)
    marks = ListField(blank=True)
    marks_note = models.TextField(max_length=2000, blank=True)
    marked_at = models.DateTimeField(null=True, blank=True)
    short_of = models.TextField(max_length=2000, blank=True)

    class Meta:
        verbose_name = "field sheet"
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(method=None) | Q(method__in=words.METHODS), name="fieldwork_sheet_method_word"),
            models.CheckConstraint(condition=within("depth_m", gt=0) & within("depth_m", lte=100), name="fieldwork_sheet_depth_m"),
        ]

    def __str__(self) -> str:
        return self.sheet

    def wrongs(self) -> Iterable[Wrong]:
        return wrongs.sheet_wrongs(self)


def degrees(**options: Any) -> models.DecimalField:
    """Degrees of longitude or latitude, as a receiver of satellites gives them."""
    return models.DecimalField(max_digits=12, decimal_places=9, **options)


class Fix(Record):
    """One position that the phone's satellite receiver gave, as it gave it, and where it was drawn on the site's grid."""

    HAPPENED = "taken_at"
    KINDS: ClassVar = {
        "lon": columns.Number(low=-180, high=180, places=9),
        "lat": columns.Number(low=-90, high=90, places=9),
        "accuracy_m": columns.Number(low=0, high=100_000),
        "x": columns.Number(low=-100_000, high=100_000),
        "y": columns.Number(low=-100_000, high=100_000),
    }

    fix = IdentifierField(primary_key=True)
    locate = models.ForeignKey(Locate, models.PROTECT, related_name="fixes")
    taken_at = models.DateTimeField()
    lon = degrees()
    lat = degrees()
    accuracy_m = models.DecimalField(max_digits=9, decimal_places=3)
    x = models.DecimalField(max_digits=9, decimal_places=3)
    y = models.DecimalField(max_digits=9, decimal_places=3)
    note = models.TextField(max_length=2000, blank=True)

    class Meta:
        verbose_name_plural = "fixes"
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(lon__range=(-180, 180), lat__range=(-90, 90), accuracy_m__range=(0, 100_000)), name="fieldwork_fix_on_earth"),
        ]

    def __str__(self) -> str:
        return self.fix


class Underlay(Record):
    """A picture under the sketch of one locate, and the points that lay it: column and row in the picture, x and y on the ground, a point a line.

    Kept for drawing over; no record rests on it, and the history tells what lay there.
    """

    locate = models.OneToOneField(Locate, models.PROTECT, related_name="underlay")
    file = models.CharField(max_length=40)
    points = models.TextField(max_length=2000)

    def __str__(self) -> str:
        return f"picture under {self.locate_id}"


class Received(models.Model):
    """What a phone was answered to a piece that it sent under a key of its own, so that it is answered alike when it sends it again.

    No record: it goes after a month.
    """

    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    key = models.UUIDField()
    digest = models.CharField(max_length=64)
    answer = models.TextField()
    at = models.DateTimeField(db_index=True)

    class Meta:
        verbose_name_plural = "received"
        constraints: ClassVar = [models.UniqueConstraint(fields=["person", "key"], name="fieldwork_received_once")]

    def __str__(self) -> str:
        return f"{self.key} of {self.person_id}"
