"""From the text of a register to rows of values, each fault reported where it stands."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from records.rules.csvtext import Malformed, records
from records.rules.kinds import value_of
from records.rules.text import Unfit, kept, shown
from records.tables import Column, Table

MOST_ROWS, MOST_CHARACTERS = 1000, 4_000_000
Report = Callable[[int, str, str], None]


@dataclass(slots=True)
class Row:
    """A row of a register: the values of its good cells by column, which cells are blank, which columns are bad, and its length in characters."""

    number: int
    values: dict[str, Any] = field(default_factory=dict)
    blank: set[str] = field(default_factory=set)
    bad: set[str] = field(default_factory=set)
    id: str = ""
    length: int = 0


class Reader:
    """Reads one register. `lost` turns true where a row's identifier could not be read; then it is not known which records the file has."""

    def __init__(self, table: Table, report: Report) -> None:
        self.table, self.report = table, report
        self.header: list[Column | None] = []
        self.lost = False

    def rows(self, lines: Iterable[str]) -> Iterator[Row]:
        """The rows in order; one whose identifier is no good has none. Rows that cannot be told apart into cells are reported and left out."""
        numbered = enumerate(records(lines), start=1)
        self._read_header(next(numbered, (1, []))[1])
        if not any(self.header):
            return
        for number, cells in numbered:
            if cells and (row := self._row(number, cells)) is not None:
                yield row

    def has(self, column: str) -> bool:
        """Does the file have the column?"""
        return any(found is not None and found.name == column for found in self.header)

    def _read_header(self, cells: list[str] | Malformed) -> None:
        if isinstance(cells, Malformed):
            self.report(1, "", cells.says)
            self.lost = True
            return
        read = {cell: self._name(cell) for cell in dict.fromkeys(cells)}
        standing: dict[str, list[int]] = {}
        for place, cell in enumerate(cells):
            if (name := read[cell]) is not None:
                standing.setdefault(name, []).append(place)
        self.header = [None] * len(cells)
        for column in self.table.columns:
            if column.name in standing:
                self.header[standing[column.name][0]] = column
        self._judge_names(standing)

    def _judge_names(self, standing: dict[str, list[int]]) -> None:
        """Report what is wrong with the names of the columns, each once, from the places where it stands."""
        known = [column.name for column in self.table.columns]
        for name, at in standing.items():
            if name not in known:
                times = f", {len(at)} times" if len(at) > 1 else ""
                says = f"{shown(name)} is not a column of {self.table.file}{times}: {', '.join(known)} were expected"
                self.report(1, name or f"cell {at[0] + 1}", says)
            elif len(at) > 1:
                self.report(1, name, "the column is there more than once: once was expected")
        for name in self.table.key:
            if name not in standing:
                self.lost = True
                self.report(1, name, "the column is missing: it was expected, for it says which record a row is")

    def _name(self, cell: str) -> str | None:
        try:
            return kept(cell)
        except Unfit as fault:
            self.report(1, ascii(cell.strip())[1:-1], str(fault))
            return None

    def _row(self, number: int, cells: list[str] | Malformed) -> Row | None:
        if isinstance(cells, Malformed):
            column = self.header[cells.cell] if cells.cell < len(self.header) else None
            self.report(number, column.name if column else "", cells.says)
        elif len(cells) != len(self.header):
            if len(cells) == 1 and not cells[0].strip():
                return None
            self.report(number, "", f"the row has {len(cells)} cells: {len(self.header)} were expected, as in the header")
        else:
            return self._filled(Row(number, length=sum(map(len, cells))), cells)
        self.lost = True
        return None

    def _filled(self, row: Row, cells: list[str]) -> Row:
        for column, cell in zip(self.header, cells, strict=True):
            if column is not None:
                self._cell(row, column, cell)
        if row.bad.isdisjoint(self.table.key) and row.values.keys() >= set(self.table.key):
            row.id = self.table.identity(row.values)
        else:
            self.lost = True
        return row

    def _cell(self, row: Row, column: Column, cell: str) -> None:
        try:
            text = kept(cell)
            row.values[column.name] = value_of(column.kind, text)
        except Unfit as fault:
            self.fault(row, column.name, str(fault))
            return
        if not text:
            row.blank.add(column.name)
            if column.starred:
                self.fault(row, column.name, "the cell is blank: a value was expected")

    def fault(self, row: Row, column: str, says: str) -> None:
        """Report a fault of a row's column."""
        row.bad.add(column)
        self.report(row.number, column, says)


def batches(rows: Iterable[Row]) -> Iterator[list[Row]]:
    """The rows some at a time: few enough, and short enough, to be held in memory together."""
    some: list[Row] = []
    length = 0
    for row in rows:
        some.append(row)
        length += row.length
        if len(some) >= MOST_ROWS or length >= MOST_CHARACTERS:
            yield some
            some, length = [], 0
    if some:
        yield some
