"""The stored records of one register: fetched and written a batch at a time, each write with its entry in the history."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from records.base import Record
from records.exchange.changing import Change
from records.exchange.reading import Row
from records.ledger.actions import Errand
from records.rules.kinds import UTC_ZONE
from records.tables import REASONS, STANDING, Column, Table

Lists = dict[str, dict[str, tuple[str, ...]]]


@dataclass(slots=True)
class Draft:
    """A record as a row would have it. `made`: what it changes in the stored one; None where it is new. `held`: the columns said not to change."""

    row: Row
    record: Any
    made: list[Change] | None = None
    held: set[str] = field(default_factory=set)

    @property
    def new(self) -> bool:
        return self.made is None

    def changes(self, column: Column) -> bool:
        """Is the column filled in a new record, or changed in a stored one?"""
        if self.made is None:
            return column.name in self.row.values and column.name not in self.row.blank
        return any(change.column is column for change in self.made)


class Store:
    """The records of one register in the database."""

    def __init__(self, table: Table, underway: Errand, why: str = "") -> None:
        self.table, self.underway, self.why = table, underway, why
        self.many = [column for column in table.columns if column.many]

    def fetch(self, rows: Collection[Row]) -> dict[str, Any]:
        """The stored records of these rows, by identity."""
        keys = [self.table.column(name) for name in self.table.key]
        wanted = {f"{column.field.name}__in": {row.values[column.name] for row in rows} for column in keys}
        ids = {row.id for row in rows}
        return {id: record for record in self.table.model.objects.filter(**wanted) if (id := self.table.identity_of(record)) in ids}

    def lists(self, ids: Collection[str]) -> Lists:
        """By column, the identifiers that each of the records is linked to."""
        return {column.name: links(column, ids) for column in self.many} if ids else {}

    def write(self, drafts: list[Draft]) -> None:
        """Write new records and changed ones, their links to other registers, and the history's entries."""
        new = [draft for draft in drafts if draft.new]
        self._make(new)
        self.table.model.objects.bulk_create([draft.record for draft in new])
        for draft in drafts:
            if not draft.new:
                self._save(draft)
        for column in self.many:
            self._link(column, [draft for draft in drafts if draft.changes(column)])
        for draft in drafts:
            self._tell(draft)

    def _make(self, new: list[Draft]) -> None:
        """Records that come to be with the first row that names them."""
        if self.table.makes and new:
            column = self.table.column(self.table.makes)
            ids = dict.fromkeys(getattr(draft.record, column.attribute) for draft in new)
            there = column.refers.objects.in_bulk(ids)
            column.refers.objects.bulk_create([column.refers(pk=id, recorded_at=self.underway.at) for id in ids if id not in there])

    def _save(self, draft: Draft) -> None:
        plain = [change.column.field.name for change in draft.made or () if not change.column.many]
        if plain:
            draft.record.save(update_fields=plain)

    def _link(self, column: Column, drafts: list[Draft]) -> None:
        changed = [draft.record.pk for draft in drafts if not draft.new]
        through, source, target = ends(column)
        if changed:
            through.objects.filter(**{f"{source}__in": changed}).delete()
        if not column.to_itself:
            pairs = ((draft.record.pk, other) for draft in drafts for other in draft.row.values[column.name])
            through.objects.bulk_create([through(**{source: pk, target: other}) for pk, other in pairs])

    def _tell(self, draft: Draft) -> None:
        table, record = self.table, draft.record
        before = None if draft.made is None else {change.column.name: _text(change.column, change.old) for change in draft.made}
        after = self._filled(draft) if draft.made is None else {change.column.name: _text(change.column, change.new) for change in draft.made}
        act = f"{table.kind}.recorded" if draft.new else f"{table.kind}.changed"
        why = next((getattr(record, name) for name in REASONS if name in after and getattr(record, name)), self.why)
        self.underway.write(act, table.kind, table.identity_of(record), str(record), self._happened(draft), before, after, why)

    def _filled(self, draft: Draft) -> dict[str, str]:
        values = draft.row.values
        return {column.name: _text(column, values[column.name]) for column in self.table.columns if draft.changes(column)}

    def _happened(self, draft: Draft) -> date | datetime:
        """When what is recorded took place: for a new record its own time, for a date that is set that date, else the errand's instant."""
        if draft.made is None:
            return draft.record.happened
        return next((change.new for change in draft.made if change.column.name in STANDING), self.underway.at)


def _text(column: Column, value: Any) -> str:
    return column.kind.write(value, UTC_ZONE)


def ends(column: Column) -> tuple[type[Record], str, str]:
    """The table of links of a column, and its columns for the record and for what it names."""
    field = column.field
    return field.remote_field.through, field.m2m_column_name(), field.m2m_reverse_name()


def links(column: Column, ids: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """By record, the identifiers that the column links it to, sorted."""
    through, source, target = ends(column)
    found: dict[str, list[str]] = defaultdict(list)
    for one, other in through.objects.filter(**{f"{source}__in": list(ids)}).values_list(source, target):
        found[one].append(other)
    return {id: tuple(sorted(found.get(id, ()))) for id in ids}
