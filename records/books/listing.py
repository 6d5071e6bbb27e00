"""A book's list: which records, in which order, and what each line says."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import DateTimeField, Q, QuerySet
from django.http import HttpRequest

from records.access import within
from records.base import ByCodePoint, named
from records.book import Book
from records.books.sieve import Sieve
from records.books.words import Said, leaf_address, said, zone_of
from records.exchange.storing import links
from records.firm.facts import own_zone
from records.rules import kinds
from records.rules.columns import FIRST_DAY, LAST_DAY
from records.tables import Column

PAGE = 50
BATCH = 500
Listed = dict[str, dict[str, tuple[str, ...]]]
Told = dict[str, dict[Any, str]]


@dataclass(frozen=True)
class Line:
    """One record as the list shows it: its name and address, and the cells beside."""

    name: str
    leads: str
    cells: tuple[Said, ...]


@dataclass(frozen=True)
class Listing:
    """A book as one person may see it at an instant."""

    book: Book
    sieve: Sieve
    rows: QuerySet
    at: datetime
    own: ZoneInfo
    without: str = ""  # a column that need not be said: what all the lines belong to

    def lines(self, some: Iterable[Any], *, bare: bool = False) -> list[Line]:
        """The records in words; the number of queries does not grow with them."""
        records = list(some)
        listed = {column.name: links(column, [one.pk for one in records]) for column in self.shown if column.many}
        told = {ask.column: ask.told(records, self.at) for ask in self.book.asks if ask.told and ask.column in self.book.shows}
        extras = [(extra.title, extra.cells(records, self.at)) for extra in self.book.extras]
        return [self._line(one, listed, told, extras, bare) for one in records]

    @property
    def shown(self) -> list[Column]:
        return [self.book.table.column(name) for name in self.book.shows if name != self.without]

    def _line(self, record: Any, listed: Listed, told: Told, extras: Sequence[tuple[str, dict[Any, str]]], bare: bool) -> Line:
        zone, at = zone_of(self.book, record, self.own), None if bare else self.at
        cells = [
            Said(self.book.ask(column.name).label, told[column.name].get(record.pk, ""))
            if column.name in told
            else said(self.book, column, record, zone, at, listed.get(column.name, {}).get(record.pk, ()))
            for column in self.shown
        ]
        beside = [Said(title, words.get(record.pk, "")) for title, words in extras]
        return Line(cells[0].words, leaf_address(self.book, record), (*cells[1:], *beside))

    @property
    def titles(self) -> list[str]:
        return [*(self.book.ask(column.name).label for column in self.shown), *(extra.title for extra in self.book.extras)]

    def csv_rows(self) -> Iterator[list[str]]:
        """What the list shows, all its pages, a batch at a time."""
        yield self.titles
        keys = list(self.rows.values_list("pk", flat=True))
        for start in range(0, len(keys), BATCH):
            found = self.rows.model._default_manager.select_related(*self.book.beside).in_bulk(keys[start : start + BATCH])
            for line in self.lines((found[key] for key in keys[start : start + BATCH]), bare=True):
                yield [line.name, *(cell.words for cell in line.cells)]


def listing(book: Book, request: HttpRequest, at: datetime) -> Listing:
    """The book as asked for by the address, within the person's reach."""
    own = own_zone(request.user, at)
    mine = within(book.rows(), request.user, book.see, book.ties, at)
    sieve = Sieve(book, mine, data=request.GET)
    return Listing(book, sieve, ordered(book, sifted(book, mine, sieve.chosen(), own), sieve.chosen().get("sort", "")), at, own)


def sifted(book: Book, rows: QuerySet, asked: dict[str, Any], zone: ZoneInfo) -> QuerySet:
    """The rows that were asked for."""
    if words := asked.get("search"):
        found = Q(pk__in=[])
        for lookup in book.finds:
            found |= Q(**{f"{lookup}__icontains": words})
        rows = rows.filter(found)
    for name in book.sifts:
        if value := asked.get(name):
            rows = rows.filter(_like(book.table.column(name), value))
    since, through = asked.get("since"), asked.get("through")
    return _between(book, rows, since and max(since, FIRST_DAY), through and min(through, LAST_DAY), zone)


def _like(column: Column, value: str) -> Q:
    if column.refers is not None:
        return Q(**{column.attribute if not column.many else column.field.name: value})
    if isinstance(column.kind, kinds.Items):
        # kept as text with ; between: the whole item, wherever it stands
        name = column.field.name
        return (
            Q(**{name: value}) | Q(**{f"{name}__startswith": f"{value};"}) | Q(**{f"{name}__endswith": f";{value}"}) | Q(**{f"{name}__contains": f";{value};"})
        )
    if isinstance(column.kind, kinds.YesNo):
        return Q(**{column.field.name: value == kinds.YES})
    if isinstance(column.kind, kinds.Text):
        return Q(**{f"{column.field.name}__icontains": value})
    return Q(**{column.field.name: value})


def _between(book: Book, rows: QuerySet, first: date | None, last: date | None, zone: ZoneInfo) -> QuerySet:
    """Those that happened on or between the days, in the reader's zone where it was at an instant."""
    happened = book.model.HAPPENED
    timed = isinstance(book.model._meta.get_field(happened), DateTimeField)
    for day, end in ((first, "gte"), (last, "lte")):
        if day is not None:
            rows = rows.filter(**{f"{happened}__{end}": _edge(day, end, zone) if timed else day})
    return rows


def _edge(day: date, end: str, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, datetime.min.time() if end == "gte" else datetime.max.time(), zone)


def ordered(book: Book, rows: QuerySet, sort: str) -> QuerySet:
    """In the order asked for, and where that leaves a choice by the record's own name."""
    wanted = sort or book.order
    key = [ByCodePoint("pk") if named(book.model) else "pk"]
    if not wanted:
        return rows.order_by(*key)
    column = book.table.column(wanted.lstrip("-"))
    attribute = f"{column.field.name}__pk" if column.refers is not None else column.field.name
    return rows.order_by(f"-{attribute}" if wanted.startswith("-") else attribute, *key)
