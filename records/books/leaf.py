"""A record's own page: what it says, what goes with it, and what can be done with it."""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.module_loading import import_string

from records.access import may, within
from records.book import Ask, Book, Deed, End, Part
from records.books.actions import linked
from records.books.catalogue import books
from records.books.listing import Line, Listing
from records.books.sieve import Sieve
from records.books.words import Said, said, zone_of
from records.exchange.catalogue import footings
from records.firm.facts import own_zone
from records.firm.models import Person
from records.ledger.facts import Told, told_of
from records.rules.columns import Number
from records.tables import STANDING

MOST_PARTS = 12
AS_READ = "as it was read"


@dataclass(frozen=True)
class Fold:
    """Records of another book that belong to this one: some of them, how many there are, and where to see them all or enter another.

    `another`: nothing where there is none to enter. `empty`: what is said where there are none.
    """

    title: str
    lines: list[Line]
    titles: list[str]
    count: int
    all: str
    another: str
    empty: str = ""


def facts(book: Book, record: Any, own: ZoneInfo, at: datetime) -> list[Said]:
    """Every column of the record in words, and what is worked out beside."""
    zone, named = zone_of(book, record, own), linked(book, record.pk)
    told = [_told(book, ask, record, zone, at, named) for ask in book.asks]
    extras = [Said(extra.title, extra.cells([record], at).get(record.pk, "")) for extra in book.extras]
    return [one for one in (*told, *extras) if one.words]


def lines(book: Book, record: Any, person: Person, at: datetime) -> list[Said]:
    """What apps above the book's own have to add of the record; they are named in the settings."""
    added = [import_string(path)(record, person, at) for path in settings.BOOK_LINES.get(book.kind, ())]
    return [one for one in added if one.words]


def _told(book: Book, ask: Ask, record: Any, zone: ZoneInfo, at: datetime, named: dict[str, tuple[str, ...]]) -> Said:
    if ask.told is None:
        return said(book, book.table.column(ask.column), record, zone, at, named.get(ask.column, ()))
    words = ask.told([record], at).get(record.pk, "")
    return Said(ask.label, f"{words}." if words and ask.mind else words, beside=ask.mind)


def history(book: Book, record: Any, zone: ZoneInfo) -> list[Told]:
    """What was done to the record. A number that is not read as it was recorded stands in the history itself, not on this page."""
    kept = {ask.column.replace("_", " ") for ask in book.asks if ask.told and isinstance(book.table.column(ask.column).kind, Number)}
    entries = told_of(book.kind, book.table.identity_of(record), zone)
    return [replace(one, changes=tuple(_veiled(*change) if change[0] in kept else change for change in one.changes)) for one in entries]


def _veiled(name: str, before: str, after: str) -> tuple[str, str, str]:
    return name, before and AS_READ, after and AS_READ


def held(book: Book, record: Any) -> str:
    """What keeps the record from being changed or put right; nothing where it may be."""
    name = book.table.identity_of(record)
    if closed := book.table.closed([name]):
        return closed[name]
    if book.table.settled(record):
        for footing in (one for one in footings(book.table.file) if one.mending):
            if resting := footing.resting([name]):
                return f"{resting[name]} rests on it"
    return ""


def blanks(book: Book, record: Any) -> tuple[str, ...]:
    """The columns of a held record that may still be filled."""
    if book.table.closed([book.table.identity_of(record)]):
        return ()
    plain = [column for column in book.table.columns if not column.many and column.name not in STANDING and column.name not in book.table.key]
    because = {end.because for end in book.ends}
    silent = [column for column in plain if column.name not in because and not column.blank_says]
    return tuple(one.name for one in silent if one.kind.same(getattr(record, one.attribute), one.kind.blank))


def ends(book: Book, record: Any) -> list[End]:
    """The later facts that may still be told of the record."""
    name = book.table.identity_of(record)
    if not book.ends or book.table.closed([name]):
        return []
    return [end for end in book.ends if getattr(record, end.column) is None]


def deeds(book: Book, person: Person) -> list[Deed]:
    return [deed for deed in book.deeds if may(person, deed.act)]


def folds(book: Book, record: Any, person: Person, at: datetime) -> list[Fold]:
    """What belongs to the record, so far as the person may see it."""
    shown = [part for part in book.parts if part.slug in books() and may(person, books()[part.slug].see)]
    return [_fold(part, record, person, at) for part in shown]


def beside(book: Book, record: Any, person: Person, at: datetime) -> list[dict[str, Any]]:
    """What other apps have to say of the record: each the template of a part of its page, and what that is given; who has nothing to say gives None."""
    return [part for path in settings.LEAF_PARTS.get(book.kind, ()) if (part := import_string(path)(record, person, at)) is not None]


def _fold(part: Part, record: Any, person: Person, at: datetime) -> Fold:
    book = books()[part.slug]
    attribute = book.table.column(part.column).attribute
    mine = within(book.rows(), person, book.see, book.ties, at).filter(**{attribute: record.pk}).order_by(*_latest_first(book))
    listing = Listing(book, Sieve(book, mine, data={}), mine, at, own_zone(person, at), without=part.column)
    asked = urlencode({part.column: record.pk})
    begun = urlencode({part.column: record.pk} | {name: getattr(record, book.table.column(name).attribute) for name in part.alike})
    count = mine.count()
    more = may(person, book.enter) and not (count and book.table.key == (part.column,))
    another = f"{reverse('enter', args=[part.slug])}?{begun}" if more else ""
    return Fold(part.title, listing.lines(mine[:MOST_PARTS]), listing.titles, count, f"{reverse('book', args=[part.slug])}?{asked}", another, part.empty)


def _latest_first(book: Book) -> tuple[str, ...]:
    return (book.order, "pk") if book.order else (f"-{book.model.HAPPENED}", "pk")
