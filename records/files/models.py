"""Files that belong to a record: certificates, owners' plans. The content lies outside the database, under the digest that stands here."""

from typing import ClassVar

from django.db import models

from records.base import Record


class Attachment(Record):
    """One file of one record, which it names as the history does: by kind and identifier. It stays; a mistaken one is struck, with the reason."""

    key = models.CharField(primary_key=True, max_length=40)
    kind = models.CharField(max_length=40)
    subject = models.CharField(max_length=200)
    what = models.CharField(max_length=40)
    name = models.CharField(max_length=200)
    media_type = models.CharField(max_length=40)
    size = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)
    by_id = models.CharField(max_length=40)
    by_name = models.TextField()
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_because = models.TextField(blank=True)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["kind", "subject"], name="files_of_a_record")]

    def __str__(self) -> str:
        return self.name
