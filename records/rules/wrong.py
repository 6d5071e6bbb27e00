"""One way to say what is wrong with a record."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any


@dataclass(frozen=True, slots=True)
class Wrong:
    """A fault of a record: the column it is said of, a sentence, and the other columns that were looked at to find it."""

    column: str
    says: str
    seen: tuple[str, ...] = ()


def reason_owed(record: Any, day: str, reason: str) -> Iterator[Wrong]:
    """A reason without its date, and a date without its reason."""
    if getattr(record, day) is not None and not getattr(record, reason):
        yield Wrong(reason, f"the reason is missing: one was expected with {day}", (day,))
    if getattr(record, day) is None and getattr(record, reason):
        yield Wrong(day, f"the date is missing: one was expected with {reason}", (reason,))


def not_before(record: Any, column: str, first: str) -> Iterator[Wrong]:
    """Of two days, the one that comes before the other though it may not."""
    day, start = getattr(record, column), getattr(record, first)
    if day is not None and start is not None and day < start:
        yield Wrong(column, f"{day} is before {first} {start}: that day or a later one was expected", (first,))


def not_later(record: Any, column: str, limit: date | None, what: str, *seen: str) -> Iterator[Wrong]:
    """The day, where it is after the limit. A limit of None never comes."""
    day = getattr(record, column)
    if day is not None and limit is not None and day > limit:
        yield Wrong(column, f"{day} is later than {limit}, {what}: that day or an earlier one was expected", seen)
