"""Layouts of receivers' logs, and the logs themselves: each a file kept with its locate, and what it shows."""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from locates.logs.rules import use
from locates.logs.rules.layout import How, read_back
from locates.surveys.models import Locate
from records.base import IdentifierField, Record
from records.files.models import Attachment


class Layout(Record):
    """How the logs of one kind of receiver are written. Its words may grow; nothing else of it changes. Retired, it reads no more files."""

    layout = IdentifierField(primary_key=True)
    name = models.CharField(max_length=100)
    how = models.TextField(editable=False)
    retired_at = models.DateTimeField(null=True, blank=True)
    retired_because = models.TextField(max_length=2000, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(retired_at=None, retired_because="") | (Q(retired_at__isnull=False) & ~Q(retired_because="")), name="logs_layout_retired_because"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def reads(self) -> How:
        """The layout itself."""
        return read_back(self.how)


class Log(Record):
    """One file that a receiver recorded, tied to a locate. It counts until its file is struck."""

    log = IdentifierField(primary_key=True)
    locate = models.ForeignKey(Locate, models.PROTECT, related_name="logs")
    layout = models.ForeignKey(Layout, models.PROTECT, related_name="logs")
    file = models.OneToOneField(Attachment, models.PROTECT, related_name="log")
    shows = models.TextField(editable=False)

    def __str__(self) -> str:
        return self.log

    @property
    def account(self) -> use.Account:
        """What the file shows, as it was summed up when it was kept."""
        return use.read_back(self.shows)
