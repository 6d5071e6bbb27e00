"""A record entered, put right, or given a later fact, by someone within their reach: one errand, in which reach and staleness are looked at again."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from records.access import ALL, reach, within
from records.book import Book
from records.books.words import texts
from records.exchange.entering import Beside, Entered, Sheet, enter, nothing
from records.exchange.scratch import Problem
from records.exchange.storing import links
from records.firm.actions import actor
from records.firm.models import Person
from records.ledger.actions import Errand, errand
from records.ledger.chain import canonical, digest

OUT_OF_REACH = "it would be out of your reach: one of your own records, or of a site that you are posted to, was expected"


class Stale(Exception):
    """The record was changed by somebody else since the form was opened."""


class _Taken(Exception):
    """A new record bears the name of one that is stored."""


class _OutOfReach(Exception):
    """What was written is not within the person's reach."""


@dataclass(frozen=True, slots=True)
class Slip:
    """What a person hands in: rows of the book, the reason, what the record was like when they began, and what goes with it.

    `also`: rows of other registers that belong to the same records and are written with them, or not at all.
    """

    book: Book
    rows: Sequence[dict[str, str]]
    why: str = ""
    key: Any = None
    seen: str = ""
    beside: Beside = nothing
    also: Sequence[Sheet] = ()


def hand_in(slip: Slip, person: Person, at: datetime, *, weigh: Callable[[], None] | None = None) -> Entered:
    """Write the rows, or with `weigh` only see what they would do: it is called once all is written, and then nothing is kept. Raises Stale."""

    def first(underway: Errand) -> None:
        if slip.key is None and (taken := _taken(slip)):
            raise _Taken(taken)
        if slip.key is not None and as_seen(slip.book, slip.key) != slip.seen:
            raise Stale(str(slip.key))

    def last(underway: Errand) -> None:
        if not _in_reach(slip, person, at):
            raise _OutOfReach
        slip.beside(underway)
        if weigh is not None:
            weigh()

    sheets = [(slip.book.table.file, slip.rows), *slip.also]
    try:
        return enter(sheets, actor(person), at, why=slip.why, mending=slip.key is not None, first=first, last=last, dry_run=weigh is not None)
    except _Taken as taken:
        return Entered({}, (Problem(slip.book.table.file, 0, slip.book.table.key[0], f"{taken} is taken: another one was expected"),))
    except _OutOfReach:
        return Entered({}, (Problem(slip.book.table.file, 0, "", OUT_OF_REACH),))


def do_beside(beside: Beside, person: Person, at: datetime) -> None:
    """Something that goes with a stored record and changes no column of it, in an errand of its own."""
    with errand(actor(person), at) as underway:
        beside(underway)


def _taken(slip: Slip) -> str:
    """The first name among the rows that a stored record bears; a row like that would change the record, as in a register file."""
    keys = [slip.book.table.column(name) for name in slip.book.table.key]
    for row in slip.rows:
        named = {column.attribute: row.get(column.name, "").strip() for column in keys}
        try:
            if slip.book.model._default_manager.filter(**named).exists():
                return "/".join(named.values())
        except (ValidationError, ValueError):  # a cell that is none of its kind: its own problem says so
            continue
    return ""


def _in_reach(slip: Slip, person: Person, at: datetime) -> bool:
    """Are all the rows' records, as they are now, records that the person may enter? By name; a register without names of its own is the office's."""
    book = slip.book
    if reach(person, book.enter) == ALL:
        return True
    if len(book.table.key) > 1 and not book.table.whole:
        return False
    name = book.table.key[0]
    wanted = {row[name] for row in slip.rows}
    column = book.table.column(name)
    mine = within(book.model._default_manager.all(), person, book.enter, book.ties, at)
    return set(mine.filter(**{f"{column.attribute}__in": wanted}).values_list(column.attribute, flat=True)) == wanted


def as_seen(book: Book, key: Any) -> str:
    """The digest of a record as it is stored now, for the form that begins with it."""
    record = book.rows().get(pk=key)
    return digest(canonical(texts(book, record, linked(book, key))))


def linked(book: Book, key: Any) -> dict[str, tuple[str, ...]]:
    """By column, what the record's lists of references name."""
    return {column.name: links(column, [key])[key] for column in book.table.columns if column.many}
