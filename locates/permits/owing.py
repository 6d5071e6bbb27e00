"""What is owed before anybody digs by permits today. An app above knows: the setting PERMIT_OWED names its function."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.utils.module_loading import import_string

from records.firm.models import Person


@dataclass(frozen=True, slots=True)
class Owing:
    """What is owed, in words; and where the reader does it, if it falls to them."""

    says: str
    leads: str
    words: str


def owing(permits: Iterable[str], reader: Person | None, at: datetime) -> dict[str, Owing]:
    """By permit what is owed, of those where something is. As many queries for one as for many. `reader`: None for a stranger."""
    return import_string(settings.PERMIT_OWED)(list(permits), reader, at)
