"""Permits to dig and the signatures upon them."""

from collections.abc import Iterable
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from locates.permits.rules.following import following_wrongs
from locates.permits.rules.signing import MEANINGS
from locates.surveys.models import Locate
from records.base import IdentifierField, Record, choices, word_check
from records.firm.models import Site
from records.rules import columns, words
from records.rules.wrong import Wrong


class Permit(Record):
    """One dig: where, how deep, by what method, by whom, and when. Signed, it no longer changes."""

    KINDS: ClassVar = {"outline": columns.OUTLINE, "depth_m": columns.METRES}

    permit = IdentifierField(primary_key=True)
    site = models.ForeignKey(Site, models.PROTECT, related_name="permits")
    locate = models.ForeignKey(Locate, models.PROTECT, related_name="permits", null=True, blank=True)
    work = models.TextField(max_length=2000)
    outline = models.TextField(max_length=100_000)
    depth_m = models.DecimalField(max_digits=6, decimal_places=3)
    method = models.CharField(max_length=20, choices=choices(words.METHODS))
    valid_from = models.DateTimeField()
    valid_to = models.DateTimeField()
    issuer = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="permits_to_issue")
    receiver = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="permits_to_receive")
    crew = models.ManyToManyField(settings.AUTH_USER_MODEL, related_name="permits_to_dig", blank=True)

    class Meta:
        constraints: ClassVar = [
            word_check("permits", "method", words.METHODS),
            models.CheckConstraint(condition=Q(depth_m__gt=0, depth_m__lte=100), name="permits_depth"),
        ]

    def __str__(self) -> str:
        return self.permit


class Following(Record):
    """The permit that a permit follows, why a new one was needed, and what is different in it. Signed with the permit, and fixed with it."""

    permit = models.OneToOneField(Permit, models.PROTECT, primary_key=True, related_name="following")
    follows = models.ForeignKey(Permit, models.PROTECT, related_name="followings")
    why = models.TextField(max_length=2000)
    changed = models.TextField(max_length=2000)

    class Meta:
        constraints: ClassVar = [models.CheckConstraint(condition=~Q(permit=models.F("follows")), name="permits_follows_another")]

    def __str__(self) -> str:
        return f"{self.permit_id} follows {self.follows_id}"

    def wrongs(self) -> Iterable[Wrong]:
        return following_wrongs(self, self.known("permit"), self.known("follows"))


class Emergency(Record):
    """That a permit is for emergency work: what would happen without digging now, why plans cannot be waited for, who decided, and when. Signed with it."""

    HAPPENED = "decided_at"

    permit = models.OneToOneField(Permit, models.PROTECT, primary_key=True, related_name="emergency")
    danger = models.TextField(max_length=2000)
    waiting = models.TextField(max_length=2000)
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="emergencies_decided")
    decided_at = models.DateTimeField()

    class Meta:
        verbose_name = "emergency"

    def __str__(self) -> str:
        return self.permit_id


class FollowUp(Record):
    """What was done after emergency work: what owners were told and answered, what was found, what was damaged, and who says so. It never changes.

    `number` counts those of one permit from 1: the first is owed, and each after it says why it was added.
    """

    HAPPENED = "done_at"
    KINDS: ClassVar = {"number": columns.Count(1000)}
    BLANK_SAYS: ClassVar = frozenset({"why"})

    permit = models.ForeignKey(Emergency, models.PROTECT, related_name="follow_ups")
    number = models.PositiveIntegerField()
    done_at = models.DateTimeField()
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="follow_ups")
    owners = models.TextField(max_length=2000)
    found = models.TextField(max_length=2000)
    damage = models.TextField(max_length=2000)
    why = models.TextField(max_length=2000, blank=True)

    class Meta:
        verbose_name = "follow-up of emergency work"
        constraints: ClassVar = [models.UniqueConstraint(fields=["permit", "number"], name="permits_follow_up_number")]

    def __str__(self) -> str:
        return f"{self.permit_id}/{self.number}"

    def wrongs(self) -> Iterable[Wrong]:
        if self.number is not None and self.number > 1 and not self.why:
            yield Wrong("why", "the reason is missing: one was expected for what is added to a follow-up", ("number",))


class SignOff(Record):
    """One signature: who, when, with what meaning, upon exactly what (the frozen sheet and its digest), and the verdict then."""

    HAPPENED = "signed_at"

    permit = models.ForeignKey(Permit, models.PROTECT, related_name="sign_offs")
    meaning = models.CharField(max_length=20, choices=choices(MEANINGS))
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="sign_offs")
    printed_name = models.TextField()
    signed_at = models.DateTimeField()
    declaration = models.TextField()
    digest = models.CharField(max_length=64)
    sheet = models.TextField()
    verdict = models.TextField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["permit", "meaning"], name="permits_signed_once"),
            word_check("permits", "meaning", MEANINGS),
        ]

    def __str__(self) -> str:
        return f"{self.permit_id}/{self.meaning}"
