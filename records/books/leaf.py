"""A record's own page: what it says, what goes with it, and what can be done with it."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.urls import reverse
from django.utils.http import urlencode

from records.access import may, within
from records.book import Book, Deed, End, Part
from records.books.actions import linked
from records.books.catalogue import books
from records.books.listing import Line, Listing
from records.books.sieve import Sieve
from records.books.words import Said, said, zone_of
from records.exchange.catalogue import footings
from records.firm.facts import own_zone
from records.firm.models import Person
from records.tables import STANDING, Column

MOST_PARTS = 12


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
    told = [_told(book, book.table.column(ask.column), record, zone, at, named) for ask in book.asks]
    extras = [Said(extra.title, extra.cells([record], at).get(record.pk, "")) for extra in book.extras]
    return [one for one in (*told, *extras) if one.words]


def _told(book: Book, column: Column, record: Any, zone: ZoneInfo, at: datetime, named: dict[str, tuple[str, ...]]) -> Said:
    return said(book, column, record, zone, at, named.get(column.name, ()))


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
    silent = [column for column in plain if column.name not in because and not column.kind.blank_says]
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
