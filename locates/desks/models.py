"""The private addresses at which people's calendars are read."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from records.base import Record


class FeedKey(Record):
    """A key to one person's calendar, of which only the digest is kept. One at most is in use; another takes its place, or it is ended."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="feed_keys")
    digest = models.CharField(max_length=64, unique=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["person"], condition=models.Q(ended_at=None), name="desks_one_feed_key")]

    def __str__(self) -> str:
        return f"calendar of {self.person_id}"
