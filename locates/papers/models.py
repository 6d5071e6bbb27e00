"""Papers that were issued."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from locates.papers.rules import Print
from locates.permits.models import Permit
from records.base import Record


class Paper(Record):
    """One paper of a permit: its number, upon which sheet, who printed it when, its file by its digest, and by which certificate it was sealed, if it was.

    `key` is the secret part of the permit's address, the same on all its papers.
    """

    HAPPENED = "printed_at"

    permit = models.ForeignKey(Permit, models.PROTECT, related_name="papers")
    version = models.PositiveIntegerField()
    key = models.CharField(max_length=40, db_index=True)
    digest = models.CharField(max_length=64)
    printed_at = models.DateTimeField()
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="papers")
    sha256 = models.CharField(max_length=64, db_index=True)
    sealed_by = models.CharField(max_length=64, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["permit", "version"], name="papers_numbered_once"),
            models.CheckConstraint(condition=Q(version__gt=0), name="papers_version"),
        ]

    def __str__(self) -> str:
        return f"{self.permit_id}, version {self.version}"

    @property
    def told(self) -> Print:
        return Print(self.version, self.digest)
