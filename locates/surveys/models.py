"""What owners were asked and answered, and what was swept and traced on the ground. Shapes are kept as plain WKT text in the site's metre grid."""

from collections.abc import Iterable
from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from locates.instruments.models import Instrument
from locates.surveys import rules
from records.base import IdentifierField, Record, choices, word_check
from records.firm.models import Site
from records.rules import columns, kinds, words
from records.rules.wrong import Wrong


def metres(**options: Any) -> models.DecimalField:
    """A length or depth in metres, to the millimetre."""
    return models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True, **options)


def within(column: str, **bounds: Any) -> Q:
    """Blank, or within the bounds."""
    return Q(**{column: None}) | Q(**{f"{column}__{how}": limit for how, limit in bounds.items()})


class Enquiry(Record):
    """One service owner asked about one site, and the owner's answer."""

    HAPPENED = "sent_on"
    KINDS: ClassVar = {"area": columns.AREA, "nothing_shown": kinds.YesNo(blank_is_no=True)}

    enquiry = IdentifierField(primary_key=True)
    site = models.ForeignKey(Site, models.PROTECT, related_name="enquiries")
    service_owner = models.TextField(max_length=2000)
    sent_on = models.DateField()
    area = models.TextField(max_length=100_000, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    good_through = models.DateField(null=True, blank=True)
    nothing_shown = models.BooleanField(null=True, blank=True)
    reference_no = models.TextField(max_length=2000, blank=True)
    replaces = models.ManyToManyField("self", symmetrical=False, related_name="replaced_by", blank=True)
    closed_on = models.DateField(null=True, blank=True)
    closed_because = models.TextField(max_length=2000, blank=True)

    class Meta:
        verbose_name_plural = "enquiries"
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(closed_on=None) | Q(closed_on__gte=F("sent_on")), name="surveys_enquiry_closed_after"),
            models.CheckConstraint(condition=Q(closed_on=None) | Q(answered_at=None), name="surveys_enquiry_closed_or_answered"),
            models.CheckConstraint(
                condition=Q(closed_on=None, closed_because="") | (Q(closed_on__isnull=False) & ~Q(closed_because="")),
                name="surveys_enquiry_closed_because",
            ),
            models.CheckConstraint(
                condition=Q(answered_at__isnull=False) | (Q(good_through=None) & (Q(nothing_shown=None) | Q(nothing_shown=False))),
                name="surveys_enquiry_answer_first",
            ),
        ]

    def __str__(self) -> str:
        return self.enquiry

    def wrongs(self) -> Iterable[Wrong]:
        return rules.enquiry_wrongs(self, self.known("site"))


class WrongPlan(Record):
    """An owner's answer that was found wrong: when, by whom, what is wrong, and who told it. The answer itself stays as it was recorded."""

    HAPPENED = "found_at"

    wrong = IdentifierField(primary_key=True)
    enquiry = models.ForeignKey(Enquiry, models.PROTECT, related_name="found_wrong")
    found_at = models.DateTimeField()
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="plans_found_wrong")
    told_by = models.TextField(max_length=2000, blank=True)
    what = models.TextField(max_length=2000)

    class Meta:
        verbose_name = "wrong plan"

    def __str__(self) -> str:
        return self.wrong

    def wrongs(self) -> Iterable[Wrong]:
        return rules.wrong_plan_wrongs(self, self.known("enquiry"))


class PlanService(Record):
    """A service that an owner's answer shows."""

    service = IdentifierField(primary_key=True)
    enquiry = models.ForeignKey(Enquiry, models.PROTECT, related_name="services")
    utility = models.CharField(max_length=20, choices=choices(words.UTILITIES))
    conductive = models.BooleanField()
    same_as = models.ManyToManyField("self", symmetrical=False, related_name="same_later", blank=True)
    note = models.TextField(max_length=2000, blank=True)

    class Meta:
        constraints: ClassVar = [word_check("surveys_service", "utility", words.UTILITIES)]

    def __str__(self) -> str:
        return self.service

    def wrongs(self) -> Iterable[Wrong]:
        return rules.service_wrongs(self, self.known("enquiry"))


class Locate(Record):
    """One search of the ground by one operator. Finished, it no longer changes."""

    HAPPENED = "started_at"

    locate = IdentifierField(primary_key=True)
    site = models.ForeignKey(Site, models.PROTECT, related_name="locates")
    operator = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="locates")
    receiver = models.ForeignKey(Instrument, models.PROTECT, related_name="+")
    transmitter = models.ForeignKey(Instrument, models.PROTECT, related_name="+", null=True, blank=True)
    clamp = models.ForeignKey(Instrument, models.PROTECT, related_name="+", null=True, blank=True)
    sonde = models.ForeignKey(Instrument, models.PROTECT, related_name="+", null=True, blank=True)
    started_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [models.CheckConstraint(condition=Q(finished_at=None) | Q(finished_at__gt=F("started_at")), name="surveys_locate_ends_after")]

    def __str__(self) -> str:
        return self.locate

    def wrongs(self) -> Iterable[Wrong]:
        return rules.locate_wrongs(self)


class Sweep(Record):
    """Ground swept by one technique in one direction."""

    KINDS: ClassVar = {"area": columns.AREA, "bearing_deg": columns.BEARING, "spacing_m": columns.METRES, "transmitter_offset_m": columns.METRES_OR_NONE}

    sweep = IdentifierField(primary_key=True)
    locate = models.ForeignKey(Locate, models.PROTECT, related_name="sweeps")
    technique = models.CharField(max_length=20, choices=choices(words.TECHNIQUES))
    area = models.TextField(max_length=100_000)
    bearing_deg = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True)
    spacing_m = metres()
    transmitter_offset_m = metres()

    class Meta:
        constraints: ClassVar = [
            word_check("surveys_sweep", "technique", words.TECHNIQUES),
            models.CheckConstraint(condition=within("bearing_deg", gte=0) & within("bearing_deg", lt=360), name="surveys_sweep_bearing"),
            models.CheckConstraint(condition=within("spacing_m", gt=0) & within("spacing_m", lte=100), name="surveys_sweep_spacing"),
            models.CheckConstraint(condition=within("transmitter_offset_m", range=(0, 100)), name="surveys_sweep_offset"),
        ]

    def __str__(self) -> str:
        return self.sweep


class Trace(Record):
    """A line followed on the ground, or a service exposed."""

    KINDS: ClassVar = {
        "line": columns.LINE,
        **dict.fromkeys(("width_m", "depth_m", "raised_by_m", "raised_depth_m"), columns.METRES),
    }

    trace = IdentifierField(primary_key=True)
    locate = models.ForeignKey(Locate, models.PROTECT, related_name="traces")
    utility = models.CharField(max_length=20, choices=choices(words.UTILITIES))
    technique = models.CharField(max_length=20, choices=choices(words.TRACE_TECHNIQUES))
    line = models.TextField(max_length=100_000)
    quality_level = models.CharField(max_length=1, choices=choices(words.QUALITY_LEVELS))
    width_m = metres()
    depth_m = metres()
    raised_by_m = metres()
    raised_depth_m = metres()
    services = models.ManyToManyField(PlanService, related_name="traces", blank=True)

    class Meta:
        constraints: ClassVar = [
            word_check("surveys_trace", "utility", words.UTILITIES),
            word_check("surveys_trace", "technique", words.TRACE_TECHNIQUES),
            word_check("surveys_trace", "quality_level", words.QUALITY_LEVELS),
            models.CheckConstraint(
                condition=Q(technique=words.EXPOSED, quality_level="A") | (~Q(technique=words.EXPOSED) & ~Q(quality_level="A")),
                name="surveys_trace_exposed_is_a",
            ),
            models.CheckConstraint(condition=~Q(technique__in=words.PASSIVE) | Q(quality_level__in=("C", "D")), name="surveys_trace_passive_is_c"),
            *(
                models.CheckConstraint(condition=within(column, gt=0) & within(column, lte=100), name=f"surveys_trace_{column}")
                for column in ("width_m", "depth_m", "raised_by_m", "raised_depth_m")
            ),
            models.CheckConstraint(
                condition=Q(raised_by_m=None, raised_depth_m=None) | Q(raised_by_m__isnull=False, raised_depth_m__isnull=False, depth_m__isnull=False),
                name="surveys_trace_raised_together",
            ),
        ]

    def __str__(self) -> str:
        return self.trace

    def wrongs(self) -> Iterable[Wrong]:
        return rules.trace_wrongs(self)


class Outcome(Record):
    """How a service of the plans was accounted for without a trace, and who says so."""

    locate = models.ForeignKey(Locate, models.PROTECT, related_name="outcomes")
    service = models.ForeignKey(PlanService, models.PROTECT, related_name="outcomes")
    outcome = models.CharField(max_length=20, choices=choices(words.OUTCOMES))
    note = models.TextField(max_length=2000)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["locate", "service"], name="surveys_outcome_once"),
            word_check("surveys", "outcome", words.OUTCOMES),
        ]

    def __str__(self) -> str:
        return f"{self.locate_id}/{self.service_id}"

    def wrongs(self) -> Iterable[Wrong]:
        return rules.outcome_wrongs(self.known("locate"), self.known("service"))
