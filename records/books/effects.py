"""What a change would do to open permits, found by doing it, looking, and keeping nothing. Who looks is named in the settings: permits stand above."""

from dataclasses import dataclass
from datetime import UTC, datetime, time

from django.conf import settings
from django.utils.module_loading import import_string

from records.books.actions import Slip, hand_in
from records.exchange.entering import Entered
from records.firm.models import Person

NOON = time(12, tzinfo=UTC)  # by then a day has begun everywhere on Earth


@dataclass(frozen=True)
class Effect:
    """What changes for one permit: its name and address, and sentences. `worse`: it could be signed before and could not after."""

    permit: str
    leads: str
    says: tuple[str, ...]
    worse: bool


def weighed(slip: Slip, person: Person, at: datetime) -> tuple[Entered, list[Effect]]:
    """Whether the rows would be right, and what they would change for open permits: now, or on the later day from which they count."""
    look, compare = (import_string(path) for path in settings.BOOK_EFFECTS)
    when = max([at, *(_noon(slip, row) for row in slip.rows)])
    before, after = look(person, when), {}
    entered = hand_in(slip, person, at, weigh=lambda: after.update(look(person, when)))
    return entered, compare(before, after) if entered.right else []


def _noon(slip: Slip, row: dict[str, str]) -> datetime:
    """Noon of the day from which a row counts, where it names one that can be read; else the beginning of time."""
    named = [row.get(name, "") for name in (slip.book.model.HAPPENED, *(end.column for end in slip.book.ends))]
    days = [datetime.combine(datetime.fromisoformat(text[:10]).date(), NOON) for text in named if len(text) == len("2027-03-04") and _readable(text)]
    return max(days, default=datetime.min.replace(tzinfo=UTC))


def _readable(text: str) -> bool:
    try:
        datetime.fromisoformat(text)
    except ValueError:
        return False
    return True
