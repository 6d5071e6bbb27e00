"""How an app declares the registers that its records travel in: tables of columns, what is checked across records, and what rests on what."""

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Field, Model

from records.base import Record, kind_of
from records.rules.kinds import UTC_ZONE, Kind
from records.rules.wrong import Wrong

# An empty cell leaves these alone; set once, they may at most be made earlier.
STANDING = ("withdrawn_on", "left_on", "out_of_service_from", "closed_on", "finished_at")
SET_ONCE = ("finished_at",)
REASONS = {"withdrawn_because": "withdrawn_on", "closed_because": "closed_on"}

Found = Iterator[tuple[str, Wrong]]


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a register: its name, the model's field, what it holds, and whether it must be filled (a star)."""

    name: str
    field: Field
    kind: Kind
    starred: bool

    @property
    def refers(self) -> type[Model] | None:
        """The model of the records that it names."""
        return self.field.related_model if self.field.is_relation else None

    @property
    def many(self) -> bool:
        return self.field.many_to_many

    @property
    def blank_says(self) -> bool:
        """Does an empty cell tell something, so that filling it is a change?"""
        return self.kind.blank_says or self.name in self.field.model.BLANK_SAYS

    @property
    def to_itself(self) -> bool:
        return self.refers is self.field.model

    @property
    def attribute(self) -> str:
        """Where a record keeps the value: for a reference, the identifier."""
        return self.field.attname

    def text(self, record: Record, zone: ZoneInfo) -> str:
        """The value as a register writes it; not for lists of references."""
        return self.kind.write(getattr(record, self.attribute), zone)


@dataclass(frozen=True, slots=True)
class Check:
    """Looked at when all is read: `find`, given identifiers of a register's records of which one of the columns changed, says what no longer fits.

    Of new records only lists of references count as changed, unless it is for `new` ones too: what else there is to say of them is said row by row.
    """

    file: str
    columns: frozenset[str]
    find: Callable[[Collection[str]], Found]
    new: bool = False


@dataclass(frozen=True, slots=True)
class Footing:
    """Columns of another register's records that may not change while something rests on the record.

    `resting`, given identifiers, gives for each that is rested on a name of what rests on it. `fewer`: columns that may fall all the same.
    `mending`: it holds every column against being put right, but only against that, which a file cannot do at all.
    """

    file: str
    columns: frozenset[str]
    resting: Callable[[Collection[str]], dict[str, str]]
    fewer: frozenset[str] = frozenset()
    mending: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A register. `settled`: does this stored record no longer change, but for what a page names? `closed`: of these records, which do not at all, and why.

    `whole`: the column naming the record that a row is a part of; where that is closed, no row is added or changed.
    `makes`: the column whose unknown references come to be with the row. `beside`: by column, the relations to fetch with the record it names.
    `site`: the way to the site by whose offset instants are written. `extra`: a register that a folder has only where there is something in it.
    """

    file: str
    model: type[Record]
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    settled: Callable[[Any], bool]
    closed: Callable[[Collection[str]], dict[str, str]]
    whole: str
    makes: str
    beside: dict[str, tuple[str, ...]]
    site: str
    extra: bool = False

    @property
    def kind(self) -> str:
        """What the history calls such a record."""
        return self.model._meta.model_name

    @property
    def noun(self) -> str:
        """What a message calls such a record."""
        return self.model._meta.verbose_name

    def column(self, name: str) -> Column:
        return next(column for column in self.columns if column.name == name)

    def identity(self, values: dict[str, Any]) -> str:
        """The identifier of a row, from the values of its key."""
        return "/".join(self.column(name).kind.write(values[name], UTC_ZONE) for name in self.key)

    def identity_of(self, record: Record) -> str:
        return "/".join(self.column(name).text(record, UTC_ZONE) for name in self.key)


@dataclass(frozen=True, slots=True)
class Reading:
    """A file that is exported for reading alone: its path within the folder, its header, and its rows. `only_of`: written only where there are such records."""

    file: str
    header: str
    rows: Callable[[], Iterator[tuple[str, ...]]]
    only_of: type[Record] | None = None


def never(record: Record) -> bool:
    return False


def none(ids: Collection[str]) -> dict[str, str]:
    return {}


def always(record: Record) -> bool:
    return True


def table(
    file: str,
    model: type[Record],
    header: str,
    *,
    key: str = "",
    settled: Callable[[Any], bool] = never,
    closed: Callable[[Collection[str]], dict[str, str]] = none,
    whole: str = "",
    makes: str = "",
    beside: dict[str, tuple[str, ...]] | None = None,
    site: str = "",
    extra: bool = False,
) -> Table:
    """A table from its header as the page has it, with a star at each column that must be filled. The key is the first column, unless it is said."""
    names = header.split()
    columns = tuple(_column(model, name.rstrip("*"), name.endswith("*")) for name in names)
    return Table(file, model, columns, tuple(key.split()) or (columns[0].name,), settled, closed, whole, makes, beside or {}, site, extra)


def _column(model: type[Record], name: str, starred: bool) -> Column:
    """The field is the one of that name, or that is stored under it."""
    fields = (*model._meta.fields, *model._meta.many_to_many)
    field = next(field for field in fields if name == field.name or (not field.is_relation and name == field.column))
    return Column(name, field, kind_of(model, field), starred)
