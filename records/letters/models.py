"""Letters to people. The act that a letter tells of is the entry in the history; who was told, and when, stands here, and stays."""

from typing import ClassVar

from django.conf import settings
from django.db import models


class Letter(models.Model):
    """A letter to one person: once under its key, to the address that was on record as it was posted (none: it goes nowhere), and what became of it.

    `taken_at`: whoever sends it took it then, and nobody takes it again. `sent_at`: a mail server took it over. `given_up_at`: it certainly was not sent,
    and will not be. `again_at`: not to be tried before. `pressing`: it goes before those that are not. What it says never changes, and no letter is removed.
    """

    key = models.CharField(max_length=200, unique=True)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="letters")
    address = models.TextField(blank=True)
    subject = models.TextField()
    text = models.TextField()
    pressing = models.BooleanField()
    posted_at = models.DateTimeField()
    tries = models.PositiveIntegerField(default=0)
    taken_at = models.DateTimeField(null=True, blank=True)
    again_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    given_up_at = models.DateTimeField(null=True, blank=True)
    why_not = models.TextField(blank=True)

    class Meta:
        indexes: ClassVar = [
            models.Index(fields=["posted_at", "id"], name="letters_posted"),
            models.Index(fields=["person", "posted_at"], name="letters_person"),
        ]

    def __str__(self) -> str:
        return self.key
