"""The values of records as people read them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.urls import reverse

from records.book import Book
from records.books.catalogue import book_for
from records.rules import columns, kinds
from records.rules.corners import listed
from records.rules.dates import day_says, instant_says, local_day
from records.rules.kinds import UTC_ZONE
from records.rules.says import away, days_away
from records.rules.words import spoken
from records.tables import Column

NOTHING = ""


@dataclass(frozen=True)
class Said:
    """A value in words: what the page calls it, the words, and where they lead. `beside` is said more quietly after them."""

    title: str
    words: str
    leads: str = ""
    beside: str = ""
    long: bool = False


def zone_of(book: Book, record: Any, own: ZoneInfo) -> ZoneInfo:
    """The zone in which the record's instants are told: its site's, else the reader's own."""
    if not book.site:
        return own
    for step in book.site.split("__"):
        record = getattr(record, step)
    return ZoneInfo(record.time_zone)


def said(book: Book, column: Column, record: Any, zone: ZoneInfo, at: datetime | None = None, linked: Iterable[str] = ()) -> Said:
    """A column of a record. `at`: say beside a day how far off it is. `linked`: what a list of references names."""
    title = book.ask(column.name).label
    if column.many:
        return Said(title, ", ".join(linked))
    if column.refers is not None:
        return _reference(title, column, record)
    value = getattr(record, column.attribute)
    return Said(title, value_says(column.kind, value, zone), beside=_away(value, at, zone), long=isinstance(column.kind, columns.Shape))


def _reference(title: str, column: Column, record: Any) -> Said:
    named = getattr(record, column.field.name)
    if named is None:
        return Said(title, NOTHING)
    book = book_for(column.refers)
    return Said(title, str(named), leaf_address(book, named) if book else "")


def leaf_address(book: Book, record: Any) -> str:
    return reverse("leaf", args=[book.slug, record.pk])


def _away(value: Any, at: datetime | None, zone: ZoneInfo) -> str:
    if at is None or not isinstance(value, date):
        return NOTHING
    if isinstance(value, datetime):
        return away(value, at, zone)
    return days_away((value - local_day(at, zone)).days)


def value_says(kind: kinds.Kind, value: Any, zone: ZoneInfo) -> str:
    """A value in words, by the kind of its column; nothing for one that is blank."""
    if value is None:
        return "none" if isinstance(kind, columns.Count) else NOTHING
    if isinstance(kind, columns.Day):
        return day_says(value)
    if isinstance(kind, columns.Instant):
        return instant_says(value, zone)
    if isinstance(kind, kinds.Word):
        return spoken(value)
    if isinstance(kind, kinds.Items):
        inner = spoken if isinstance(kind.item, kinds.Word) else str
        return ", ".join(map(inner, value))
    if isinstance(kind, columns.Shape):
        return listed(value)
    return kind.write(value, zone)


def texts(book: Book, record: Any, linked: dict[str, tuple[str, ...]], zone: ZoneInfo = UTC_ZONE) -> dict[str, str]:
    """The whole record as a row of its register."""
    return {column.name: column.kind.write(linked.get(column.name, ()), zone) if column.many else column.text(record, zone) for column in book.table.columns}
