"""How an app declares its books: the registers as people read and write them in a browser."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Model, QuerySet

from records.access import REACH, Ties
from records.rules.words import SAFETY_MANAGER, spoken
from records.tables import Table

# By a record's key, the words of a cell beside its columns; given all records of a page at once, so that queries do not grow with them.
Cells = Callable[[Sequence[Any], datetime], dict[Any, str]]
# The records that a reference may name: given all that the person may see of them, the person, the instant, and what the form holds already.
Offers = Callable[[QuerySet, Any, datetime, dict[str, str]], QuerySet]


IDENTIFIER = "Your own short name for it, which never changes: letters, digits, dots, underscores, hyphens."


@dataclass(frozen=True, slots=True)
class Ask:
    """A field of a book's form: its column, what the page calls it, and what it says beneath. `offers` narrows what a reference may name.

    `ready`: what a new record begins with, given the person and the instant as the zone's local text. `told`: in which words the column is read,
    where it is not to be read as it was recorded. `mind`: what is said beside them on the record's own page.
    `spoken`: how a word is offered.
    """

    column: str
    label: str
    help: str = ""
    offers: Offers | None = None
    ready: str = ""
    told: Cells | None = None
    mind: str = ""
    spoken: Callable[[str], str] = spoken


@dataclass(frozen=True, slots=True)
class Extra:
    """A column of the list and a line of the leaf that is worked out, not stored."""

    title: str
    cells: Cells


@dataclass(frozen=True, slots=True)
class End:
    """A later fact: a standing date, with its reason where one is owed. `verb` stands on the link and the button; `tells` says what it does."""

    column: str
    verb: str
    tells: str
    because: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """Records of another book that name this one, shown on its leaf: the book, and its column that names it.

    `alike`: columns that another such record is entered with as this one has them. `empty`: what is said where there are none.
    """

    slug: str
    column: str
    title: str
    alike: tuple[str, ...] = ()
    empty: str = ""


@dataclass(frozen=True, slots=True)
class Deed:
    """Something else to be done with a record: an address's name, which takes the record's key, its words, and the act it needs."""

    address: str
    words: str
    act: str


@dataclass(frozen=True, slots=True)
class Many:
    """Records entered many at once: one for each of the records that column `over` names, with the columns of `same` alike in all, and of `each` its own."""

    words: str
    tells: str
    over: str
    same: tuple[str, ...]
    each: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Book:
    """One register in the browser.

    `noun` and `title` name a record and the list; `tells` says what it is for. `shows`: the columns of the list, the first being the record's name.
    `finds`: lookups that the search looks in. `sifts`: columns that narrow the list. `order`: how it stands at first.
    `site`: the lookup of the site in whose zone instants are told; none: the reader's own. `weighs`: before it is written, say what changes for open permits.
    `prefix`: how identifiers begin where there is none to follow. `files`: what may be kept with a record, such as its certificate.
    `beside`: relations to fetch with the records. `deeds`: what else can be done.
    `many`: how many are entered at once.
    """

    slug: str
    title: str
    noun: str
    tells: str
    table: Table
    ties: Ties
    shows: tuple[str, ...]
    asks: tuple[Ask, ...]
    finds: tuple[str, ...] = ()
    sifts: tuple[str, ...] = ()
    order: str = ""
    extras: tuple[Extra, ...] = ()
    ends: tuple[End, ...] = ()
    parts: tuple[Part, ...] = ()
    deeds: tuple[Deed, ...] = ()
    files: tuple[str, ...] = ()
    site: str = ""
    prefix: str = ""
    weighs: bool = False
    many: Many | None = None
    beside: tuple[str, ...] = ()

    @property
    def kind(self) -> str:
        """What the history and the table of reaches call such a record."""
        return self.table.kind

    @property
    def one(self) -> str:
        """`an award`, `a site`."""
        return f"{'an' if self.noun[0] in 'aeio' else 'a'} {self.noun}"

    @property
    def office(self) -> bool:
        """Does only the office enter such records?"""
        return set(REACH[self.enter]) == {SAFETY_MANAGER}

    @property
    def model(self) -> type[Model]:
        return self.table.model

    @property
    def see(self) -> str:
        return f"{self.kind}.see"

    @property
    def enter(self) -> str:
        return f"{self.kind}.enter"

    def ask(self, column: str) -> Ask:
        return next(one for one in self.asks if one.column == column)

    def rows(self) -> QuerySet:
        return self.model._default_manager.select_related(*self.beside)
