"""What the forms of a book begin with, and what they hand in."""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.http import QueryDict

from records.access import within
from records.book import Book, End
from records.books.actions import linked
from records.books.fields import local_text
from records.books.words import texts
from records.firm.models import Person
from records.identifiers import next_identifier
from records.rules.columns import Instant
from records.rules.kinds import UTC_ZONE, Items, Text
from records.tables import STANDING

NOW, TODAY, SELF = "now", "today", "self"


def all_columns(book: Book) -> tuple[str, ...]:
    """What the form of a new record asks: everything but the later facts."""
    later = {name for end in book.ends for name in (end.column, end.because)}
    return tuple(ask.column for ask in book.asks if ask.column not in later)


def changed_columns(book: Book) -> tuple[str, ...]:
    """What the form of a correction asks: everything but the name and the later facts that have an act of their own."""
    return tuple(name for name in all_columns(book) if name not in book.table.key)


def zone_for(book: Book, held: QueryDict, own: ZoneInfo) -> ZoneInfo | None:
    """The zone in which a new record's times are typed: that of the site it belongs to, None while that is not chosen; the reader's own where it has none."""
    if not book.site:
        return own
    first, *further = book.site.split("__")
    column = book.table.column(first)
    named = column.refers._default_manager.filter(pk=held.get(first, "").replace("\0", "")).first()
    for step in further:
        named = getattr(named, step, None)
    return ZoneInfo(named.time_zone) if named is not None else None


def fresh(book: Book, person: Person, at: datetime, zone: ZoneInfo | None, asked: QueryDict) -> dict[str, str]:
    """What a new record begins with: the next name, what the address asks for, and what is usual."""
    begun = {ask.column: ready(ask.ready, person, at, zone or UTC_ZONE) for ask in book.asks if ask.ready and (zone or ask.ready != NOW)}
    if len(book.table.key) == 1 and book.table.column(book.table.key[0]).refers is None:
        begun[book.table.key[0]] = next_identifier(book.model, book.prefix)
    like = as_form(within(book.rows(), person, book.see, book.ties, at), book, asked.get("like", ""), zone or UTC_ZONE)
    kept = {name: value for name, value in like.items() if name not in book.table.key and name not in STANDING}
    given = {name: asked[name] for name in all_columns(book) if name in asked and len(asked[name]) <= 2000}
    return begun | kept | given


def ready(word: str, person: Person, at: datetime, zone: ZoneInfo) -> str:
    """A usual beginning: the present instant or day where the reader is, or the reader; any other word is the beginning itself."""
    local = local_text(at.replace(second=0, microsecond=0), zone)  # people tell the time in minutes
    return {NOW: local, TODAY: local[:10], SELF: person.pk}.get(word, word)


def as_form(rows: QuerySet, book: Book, key: Any, zone: ZoneInfo) -> dict[str, str]:
    """A stored record among these as its form shows it; nothing where there is none."""
    record = rows.filter(pk=key).first() if key and "\0" not in str(key) and len(book.table.key) == 1 else None
    return shown(book, record, zone) if record is not None else {}


def shown(book: Book, record: Any, zone: ZoneInfo) -> dict[str, Any]:
    """The record's columns as the fields of a form show them."""
    row: dict[str, Any] = dict(texts(book, record, linked(book, record.pk)))
    for column in book.table.columns:
        if isinstance(column.kind, Instant):
            row[column.name] = local_text(getattr(record, column.attribute), zone)
        elif isinstance(column.kind, Items) and not _typed_in_lines(column.kind):
            row[column.name] = [one for one in row[column.name].split(";") if one]
    return row


def _typed_in_lines(kind: Items) -> bool:
    return isinstance(kind.item, Text)


def key_cells(book: Book, record: Any) -> dict[str, str]:
    """The cells that say which record a row is."""
    return {name: cell for name, cell in texts(book, record, linked(book, record.pk)).items() if name in book.table.key}


def stored(book: Book, row: dict[str, str]) -> Any:
    """The record of a row that has just been written."""
    keys = [book.table.column(name) for name in book.table.key]
    return book.rows().get(**{column.attribute: row[column.name] for column in keys})


def done_says(book: Book, record: Any, end: End | None, new: bool, written: bool) -> str:
    """What happened."""
    name = f"{book.noun.capitalize()} {record}"
    if not written:
        return f"{name} is as it was: nothing differed."
    if new:
        return f"{name} is recorded."
    return f"{name} is changed; its history keeps what it was." if end is None else f"{name}: {end.verb.lower()} is recorded."
