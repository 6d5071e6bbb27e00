"""The history: entries that are only ever added, each linked to the one before, and the head at which all writers queue."""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from records.ledger.chain import GENESIS


class Entry(models.Model):
    """One act: who, what, on which record, when it happened, when it was recorded, and why. It points at nobody, so it outlives what it tells of."""

    # a plain INTEGER, for in SQLite that is the row itself: no second key by which a row could be replaced
    seq = models.IntegerField(primary_key=True)
    act = models.CharField(max_length=60)
    actor_id = models.CharField(max_length=40, blank=True)
    actor_name = models.TextField()
    kind = models.CharField(max_length=40)
    subject_id = models.TextField()
    label = models.TextField()
    happened = models.CharField(max_length=40)
    recorded_at = models.DateTimeField()
    why = models.TextField(blank=True)
    body = models.TextField()
    prev = models.CharField(max_length=64, unique=True)
    hash = models.CharField(max_length=64, unique=True)

    class Meta:
        verbose_name_plural = "entries"
        ordering: ClassVar = ["seq"]
        indexes: ClassVar = [
            models.Index(fields=["kind", "subject_id"], name="ledger_entry_subject"),
            # with seq behind, so that the newest of a kind, of an act or of somebody are read off in their order
            models.Index(fields=["kind", "seq"], name="ledger_entry_kind"),
            models.Index(fields=["act", "seq"], name="ledger_entry_act"),
            models.Index(fields=["actor_id", "seq"], name="ledger_entry_actor"),
            models.Index(fields=["actor_name", "seq"], name="ledger_entry_actor_name"),
        ]

    def __str__(self) -> str:
        return f"{self.seq} {self.act} {self.label}"


class Head(models.Model):
    """The chain's last entry, in one row. Whoever writes locks it first."""

    THE_ONE = 1

    id = models.PositiveSmallIntegerField(primary_key=True, default=THE_ONE)
    seq = models.IntegerField(default=0)
    hash = models.CharField(max_length=64, default=GENESIS)

    class Meta:
        constraints: ClassVar = [models.CheckConstraint(condition=Q(id=1), name="ledger_head_single")]

    def __str__(self) -> str:
        return f"{self.seq} {self.hash}"
