"""What rule sets need of owners near their services, at what voltage or pressure services run, and what owners agreed to."""

from collections.abc import Iterable
from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from locates.owners.rules import terms, wrongs
from locates.surveys.models import PlanService, within
from records.base import IdentifierField, ListField, Record, choices, word_check
from records.firm.models import RuleSet, Site
from records.rules import columns, kinds, words
from records.rules.wrong import Wrong

WITHIN_M, KILOVOLTS, BARS = columns.Number(low=0, high=50), columns.Number(low=0, high=1500), columns.Number(low=0, high=500)


def amount(digits: int) -> models.DecimalField:
    """A number to three decimals, or nothing."""
    return models.DecimalField(max_digits=digits, decimal_places=3, null=True, blank=True)


def bounded(column: str, high: int) -> models.CheckConstraint:
    """The database's own refusal of a number out of bounds."""
    return models.CheckConstraint(condition=within(column, range=(0, high)), name=f"owners_{column}")


class OwnerNeed(Record):
    """Near such services their owner must be asked for something, from a day on. A change is a new row with a later day, never an edit."""

    HAPPENED = "effective_from"
    KINDS: ClassVar = {
        "methods": kinds.Items(kinds.Word(words.METHODS)),
        "within_m": WITHIN_M,
        "above_kv": KILOVOLTS,
        "above_bar": BARS,
    }
    BLANK_SAYS: ClassVar = frozenset({"utility", "service_owner", "methods", "above_kv", "above_bar"})

    rule_set = models.ForeignKey(RuleSet, models.PROTECT, related_name="owner_needs", db_column="rule_set")
    effective_from = models.DateField()
    need = IdentifierField()
    needed = models.CharField(max_length=20, choices=choices((*terms.NEEDED, terms.NOTHING)))
    within_m = amount(6)
    utility = models.CharField(max_length=20, choices=choices(words.UTILITIES), null=True, blank=True)
    service_owner = models.TextField(max_length=2000, blank=True)
    methods = ListField(blank=True)
    above_kv = amount(7)
    above_bar = amount(6)
    blocks = models.BooleanField(null=True, blank=True)
    source = models.TextField(max_length=2000)

    class Meta:
        verbose_name = "need of owners"
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["rule_set", "effective_from", "need"], name="owners_need_once"),
            word_check("owners", "needed", (*terms.NEEDED, terms.NOTHING)),
            models.CheckConstraint(condition=Q(utility=None) | Q(utility__in=words.UTILITIES), name="owners_need_utility_word"),
            models.CheckConstraint(condition=~Q(source=""), name="owners_need_has_a_source"),
            models.CheckConstraint(
                condition=Q(needed=terms.NOTHING, within_m=None, blocks=None) | (~Q(needed=terms.NOTHING) & Q(within_m__isnull=False, blocks__isnull=False)),
                name="owners_need_whole",
            ),
            *(bounded(column, kind.high) for column, kind in (("within_m", WITHIN_M), ("above_kv", KILOVOLTS), ("above_bar", BARS))),
        ]

    def __str__(self) -> str:
        return f"{self.rule_set_id}/{self.effective_from}/{self.need}"

    def wrongs(self) -> Iterable[Wrong]:
        return wrongs.need_wrongs(self)


class Rating(Record):
    """At what voltage (kV) or pressure (bar) a service of the plans runs, as its owner told on a day."""

    HAPPENED = "told_on"
    KINDS: ClassVar = {"voltage_kv": KILOVOLTS, "pressure_bar": BARS}

    rating = IdentifierField(primary_key=True)
    service = models.ForeignKey(PlanService, models.PROTECT, related_name="ratings")
    told_on = models.DateField()
    voltage_kv = amount(7)
    pressure_bar = amount(6)
    note = models.TextField(max_length=2000)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(voltage_kv__isnull=False) | Q(pressure_bar__isnull=False), name="owners_rating_tells"),
            *(bounded(column, kind.high) for column, kind in (("voltage_kv", KILOVOLTS), ("pressure_bar", BARS))),
        ]

    def __str__(self) -> str:
        return self.rating

    def wrongs(self) -> Iterable[Wrong]:
        return wrongs.rating_wrongs(self)


class OwnerAgreement(Record):
    """What one owner agreed to for work near its services, and in which words. Taken back, it says from which day."""

    HAPPENED = "agreed_at"
    KINDS: ClassVar = {"agreed": kinds.Items(kinds.Word(terms.NEEDED)), "area": columns.AREA}
    BLANK_SAYS: ClassVar = frozenset({"utility", "service", "area"})

    agreement = IdentifierField(primary_key=True)
    site = models.ForeignKey(Site, models.PROTECT, related_name="agreements")
    service_owner = models.TextField(max_length=2000)
    utility = models.CharField(max_length=20, choices=choices(words.UTILITIES), null=True, blank=True)
    service = models.ForeignKey(PlanService, models.PROTECT, related_name="agreements", null=True, blank=True)
    agreed = ListField()
    agreed_with = models.TextField(max_length=2000)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="agreements")
    agreed_at = models.DateTimeField()
    reference_no = models.TextField(max_length=2000, blank=True)
    conditions = models.TextField(max_length=2000, blank=True)
    good_from = models.DateField()
    good_through = models.DateField()
    area = models.TextField(max_length=100_000, blank=True)
    proved_by = models.TextField(max_length=2000, blank=True)
    proved_at = models.DateTimeField(null=True, blank=True)
    withdrawn_on = models.DateField(null=True, blank=True)
    withdrawn_because = models.TextField(max_length=2000, blank=True)

    class Meta:
        verbose_name = "agreement with an owner"
        verbose_name_plural = "agreements with owners"
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(utility=None) | Q(utility__in=words.UTILITIES), name="owners_agreement_utility_word"),
            models.CheckConstraint(condition=Q(utility=None) | Q(service=None), name="owners_agreement_for_one"),
            models.CheckConstraint(condition=~Q(agreed=""), name="owners_agreement_to_something"),
            models.CheckConstraint(condition=Q(good_through__gte=F("good_from")), name="owners_agreement_good_after"),
            models.CheckConstraint(
                condition=Q(proved_at=None, proved_by="") | (Q(proved_at__isnull=False) & ~Q(proved_by="")),
                name="owners_agreement_proof_whole",
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_on=None, withdrawn_because="") | (Q(withdrawn_on__isnull=False) & ~Q(withdrawn_because="")),
                name="owners_agreement_withdrawn_because",
            ),
        ]

    def __str__(self) -> str:
        return self.agreement

    def wrongs(self) -> Iterable[Wrong]:
        service: Any = self.known("service")
        return wrongs.agreement_wrongs(self, self.known("site"), service)
