"""The records that rows refer to: those stored already or just written from the folder's earlier files."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Model

from records.base import Record
from records.exchange.catalogue import file_of
from records.exchange.reading import Reader, Row
from records.exchange.scratch import BAD, Scratch
from records.rules.columns import Shape
from records.rules.text import shown
from records.tables import Column, Table


@dataclass(slots=True)
class Known:
    """The records of one model that some rows refer to. `doubtful`: those that are in the folder, but wrong there."""

    records: dict[str, Model] = field(default_factory=dict)
    doubtful: set[str] = field(default_factory=set)


class Linker:
    """Finds what the rows of one register refer to. `lost`: the registers of which it is not known which records they hold."""

    def __init__(self, table: Table, scratch: Scratch, lost: set[str]) -> None:
        self.table, self.scratch, self.lost = table, scratch, lost
        self.columns = [column for column in table.columns if column.refers is not None]

    def find(self, rows: Iterable[Row], stored: dict[str, Record]) -> dict[str, Known]:
        """By column: the records that the rows and their stored records refer to."""
        found = {}
        for column in self.columns:
            if not column.to_itself:
                ids = {id for row in rows for id in self._named(column, row, stored.get(row.id))}
                found[column.name] = self._known(column, ids)
        return found

    def _named(self, column: Column, row: Row, record: Record | None) -> Iterator[str]:
        yield from identifiers(column, row.values.get(column.name, ()))
        if record is not None and not column.many and getattr(record, column.attribute):
            yield getattr(record, column.attribute)

    def _known(self, column: Column, ids: Collection[str]) -> Known:
        model, beside = column.refers, self.table.beside.get(column.name, ())
        records = model.objects.select_related(*beside).defer(*_shapes(model), *self._shapes_beside(column)).in_bulk(ids)
        states = self.scratch.states(file_of(model), ids)
        return Known(records, {id for id in ids if states.get(id) == BAD})

    def _shapes_beside(self, column: Column) -> list[str]:
        beside = self.table.beside.get(column.name, ())
        return [f"{name}__{shape}" for name in beside for shape in _shapes(column.refers._meta.get_field(name).related_model)]

    def _unknown(self, column: Column, ids: Iterable[str], known: Known) -> list[str]:
        """Those that are neither stored nor, so far as is known, in the folder."""
        if file_of(column.refers) in self.lost or column.name == self.table.makes:
            return []
        return [id for id in ids if id not in known.records and id not in known.doubtful]

    def settle(self, reader: Reader, row: Row, found: dict[str, Known]) -> None:
        """Report the row's references to nothing, and note as bad those that cannot be relied on."""
        for column in self.columns:
            if column.to_itself or column.name not in row.values:
                continue
            known, ids = found[column.name], identifiers(column, row.values[column.name])
            for id in self._unknown(column, ids, known):
                reader.fault(row, column.name, unknown_says(column, id))
            if column.name != self.table.makes and any(id not in known.records or id in known.doubtful for id in ids):
                row.bad.add(column.name)


def _shapes(model: type[Record]) -> list[str]:
    """Its fields that may be long and that no rule across records reads."""
    return [name for name, kind in model.KINDS.items() if isinstance(kind, Shape)]


def identifiers(column: Column, value: Any) -> tuple[str, ...]:
    """The identifiers that a cell names."""
    return value if column.many else (value,) if value else ()


def unknown_says(column: Column, id: str) -> str:
    what = column.refers._meta.verbose_name
    return f"{what} {shown(id)} is not known: one that is in the folder or stored already was expected"
