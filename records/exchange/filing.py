"""The rows of one register into the database, a batch at a time."""

from collections.abc import Callable, Iterable, Iterator
from functools import cache
from typing import Any

from records.exchange.catalogue import checks, file_of, footings, tables
from records.exchange.changing import Change, changes, refusals, touched
from records.exchange.linking import Known, Linker
from records.exchange.reading import Reader, Row, batches
from records.exchange.scratch import BAD, WRITTEN, Link, Problem, Scratch
from records.exchange.storing import Draft, Lists, Store
from records.ledger.actions import Errand
from records.tables import Table

Progress = Callable[[str, int], None]
Found = dict[str, Known]


@cache
def places(file: str, column: str) -> tuple[int, int]:
    """Where the register stands among all, and the column in it: problems are listed in that order."""
    names = [one.name for one in tables()[file].columns]
    return list(tables()).index(file), names.index(column) if column in names else -1


class Filing:
    """One register of a load."""

    def __init__(self, table: Table, name: str, scratch: Scratch, underway: Errand, lost: set[str], why: str = "", mending: bool = False) -> None:
        self.table, self.name, self.scratch, self.at, self.mending = table, name, scratch, underway.at, mending
        self.reader = Reader(table, self.report)
        self.linker = Linker(table, scratch, lost)
        self.store = Store(table, underway, why)
        self.owed: set[str] = set()
        self.written = 0

    def report(self, row: int, column: str, says: str) -> None:
        self.scratch.problem(*places(self.table.file, column), Problem(self.name, row, column, says))

    def read(self, lines: Iterable[str], progress: Progress) -> None:
        """Read all rows, and write those that are right."""
        for rows in batches(self.reader.rows(lines)):
            self._batch(rows)
            progress(self.name, rows[-1].number - 1)

    def _batch(self, rows: list[Row]) -> None:
        rows = [*self._apart(rows)]
        stored = self.store.fetch(rows)
        lists = self.store.lists(stored)
        found = self.linker.find(rows, stored)
        drafts = []
        for row in rows:
            self.linker.settle(self.reader, row, found)
            draft = self._changed(row, stored[row.id], found, lists) if row.id in stored else self._new(row, found)
            if draft is not None:
                self._judge(draft)
                drafts.append(draft)
        self._hold_fast([draft for draft in drafts if not draft.new])
        self._hold_whole(drafts)
        self._finish(rows, [draft for draft in drafts if not draft.row.bad])

    def _apart(self, rows: list[Row]) -> Iterator[Row]:
        """The rows that have an identifier which no row before has."""
        again = self.scratch.see(self.table.file, ((row.id, row.number) for row in rows if row.id))
        for row in rows:
            if row.number in again:
                self.reader.fault(row, self.table.key[-1], f"{row.id} is in row {again[row.number]} already: each once was expected")
            elif row.id:
                yield row
            else:
                self._doubt(row)

    def _new(self, row: Row, found: Found) -> Draft:
        missing = [column.name for column in self.table.columns if column.starred and not self.reader.has(column.name)]
        for name in missing:
            if name not in self.owed:
                self.report(1, name, f"the column is missing: it was expected, for {row.id} in row {row.number} is a new record")
        self.owed.update(missing)
        row.bad.update(missing)
        record = self.table.model(recorded_at=self.at)
        self._fill(record, row, found, row.values)
        return Draft(row, record)

    def _changed(self, row: Row, record: Any, found: Found, lists: Lists) -> Draft | None:
        linked = {column: of.get(row.id, ()) for column, of in lists.items()}
        made = list(changes(self.table, row, record, linked))
        if not made:
            return None
        draft = Draft(row, record, made)
        for wrong in refusals(self.table, record, made, mending=self.mending):
            self._hold(draft, wrong.column, wrong.says)
        self._fill(record, row, found, {change.column.name for change in made})
        return draft

    def _hold(self, draft: Draft, column: str, says: str) -> None:
        """Report that a column does not change, for the first of the reasons that there are."""
        if column not in draft.held:
            draft.held.add(column)
            self.reader.fault(draft.row, column, says)

    def _hold_changes(self, draft: Draft, made: list[Change], why: str) -> None:
        for change in made:
            self._hold(draft, change.column.name, f"{why} ({change.says()}): the stored value was expected")

    def _fill(self, record: Any, row: Row, found: Found, names: Iterable[str]) -> None:
        """Set the columns so named that are good, and put at hand the records that the record refers to."""
        for column in self.table.columns:
            if column.name in names and column.name not in row.bad and not column.many:
                setattr(record, column.attribute, row.values[column.name])
            if column.name in found and not column.many:
                self._put_at_hand(record, column.field.name, found[column.name], getattr(record, column.attribute))

    def _put_at_hand(self, record: Any, name: str, known: Known, id: str | None) -> None:
        if id in known.records and id not in known.doubtful:
            setattr(record, name, known.records[id])

    def _judge(self, draft: Draft) -> None:
        """Report what is wrong with the record as a whole, so far as the columns that show it are good."""
        bad = set(draft.row.bad)
        for wrong in draft.record.wrongs():
            if bad.isdisjoint({wrong.column, *wrong.seen}):
                self.reader.fault(draft.row, wrong.column, wrong.says)

    def _hold_fast(self, drafts: list[Draft]) -> None:
        """Report changes in what is closed, and in what something rests on."""
        closed = self.table.closed([draft.row.id for draft in drafts]) if drafts else {}
        for draft in (draft for draft in drafts if draft.row.id in closed):
            self._hold_changes(draft, draft.made or [], f"{closed[draft.row.id]} and does not change")
        for footing in footings(self.table.file):
            if footing.mending and not self.mending:
                continue
            held = {draft.row.id: draft for draft in drafts if touched(footing, draft.made or [])}
            for id, what in (footing.resting(list(held)) if held else {}).items():
                made = touched(footing, held[id].made or [])
                self._hold_changes(held[id], made, f"{what} rests on {self.table.noun} {id}, which does not change")

    def _hold_whole(self, drafts: list[Draft]) -> None:
        """Report rows added to what was closed before this load, and rows changed in it."""
        if not self.table.whole or not drafts:
            return
        column = self.table.column(self.table.whole)
        whole = tables()[file_of(column.refers)]
        named = {id for draft in drafts for id in self._wholes(draft, column.attribute)}
        states = self.scratch.states(whole.file, named)
        closed = whole.closed([id for id in named if states.get(id) != WRITTEN])
        for draft in drafts:
            for id in sorted(self._wholes(draft, column.attribute) & closed.keys()):
                if draft.new or draft.changes(column):
                    self.reader.fault(draft.row, column.name, f"{closed[id]} and takes or gives no {self.table.noun}: another {whole.noun} was expected")
                else:
                    self._hold_changes(draft, draft.made or [], f"{closed[id]}, and {self.table.noun} {draft.row.id} in it does not change")

    def _wholes(self, draft: Draft, attribute: str) -> set[str]:
        before = {change.old for change in draft.made or () if change.column.name == self.table.whole}
        return {id for id in (*before, getattr(draft.record, attribute)) if id}

    def _finish(self, rows: list[Row], good: list[Draft]) -> None:
        self.store.write(good)
        self.written += len(good)
        self.scratch.mark(self.table.file, [draft.row.id for draft in good], WRITTEN)
        bad = [row for row in rows if row.bad]
        self.scratch.mark(self.table.file, [row.id for row in bad], BAD)
        for row in bad:
            self._doubt(row)
        self._remember(rows, good)

    def _doubt(self, row: Row) -> None:
        """A bad row may be what another register counts on to make a record."""
        if self.table.makes and (id := row.values.get(self.table.makes)):
            self.scratch.note(file_of(self.table.column(self.table.makes).refers), id)

    def _remember(self, rows: list[Row], good: list[Draft]) -> None:
        """For later: the changed columns that are checked again at the end, and the links within this register."""
        watched = {name for check in checks(self.table.file) for name in check.columns}
        new_too = {name for check in checks(self.table.file) if check.new for name in check.columns}
        columns = [column for column in self.table.columns if column.name in watched]
        told = ((draft, column) for draft in good for column in columns if draft.changes(column))
        changes = ((draft, column) for draft, column in told if column.many or not draft.new or column.name in new_too)
        self.scratch.changed(self.table.file, ((draft.row.id, column.name) for draft, column in changes))
        for column in self.table.columns:
            if column.to_itself:
                filled = [row for row in rows if column.name not in row.bad and row.values.get(column.name)]
                written = {draft.row.number for draft in good if draft.changes(column)}
                links = (Link(row.id, row.number, target, row.number in written) for row in filled for target in row.values[column.name])
                self.scratch.link(self.table.file, column.name, links)
