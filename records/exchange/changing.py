"""What a row would change in a stored record, and whether it may."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from records.exchange.reading import Row
from records.rules.kinds import UTC_ZONE
from records.rules.wrong import Wrong
from records.tables import REASONS, SET_ONCE, STANDING, Column, Footing, Table


@dataclass(frozen=True, slots=True)
class Change:
    """A column's value before and after."""

    column: Column
    old: Any
    new: Any

    @property
    def fills_a_blank(self) -> bool:
        kind = self.column.kind
        return not self.column.blank_says and kind.same(self.old, kind.blank)

    @property
    def falls(self) -> bool:
        """Fewer months or days than before; a number where none was needed."""
        return self.new is not None and (self.old is None or self.new < self.old)

    def says(self) -> str:
        before, after = (self.column.kind.write(value, UTC_ZONE) or "blank" for value in (self.old, self.new))
        return f"from {before[:60]} to {after[:60]}"


def changes(table: Table, row: Row, record: Any, linked: dict[str, tuple[str, ...]]) -> Iterator[Change]:
    """The columns in which the row differs from the stored record. `linked`: its lists of references, by column."""
    for column in table.columns:
        if column.name not in row.values or column.name in row.bad or _left_alone(column.name, row):
            continue
        old = linked[column.name] if column.many else getattr(record, column.attribute)
        new = row.values[column.name]
        if not column.kind.same(old, new):
            yield Change(column, old, new)


def _left_alone(name: str, row: Row) -> bool:
    """A blank cell of a standing date, and that of its reason beside it, change nothing."""
    if name not in row.blank:
        return False
    date = REASONS.get(name)
    return name in STANDING or (date is not None and (date in row.blank or date not in row.values))


def refusals(table: Table, record: Any, made: list[Change], *, mending: bool = False) -> Iterator[Wrong]:
    """Which of the changes a stored record does not take, whatever rests on it. `mending`: what is settled may be put right."""
    changed = {change.column.name for change in made}
    for change in made:
        name = change.column.name
        if name in STANDING:
            yield from _standing_refusal(change)
        elif not mending and table.settled(record) and not change.fills_a_blank and REASONS.get(name) not in changed:
            says = f"{table.noun} {table.identity_of(record)} is recorded and does not change ({change.says()}): the stored value was expected"
            yield Wrong(name, says)


def _standing_refusal(change: Change) -> Iterator[Wrong]:
    name = change.column.name
    if change.old is None:
        return
    if name in SET_ONCE:
        yield Wrong(name, f"it is set once and does not change ({change.says()}): the stored value was expected")
    elif change.new > change.old:
        yield Wrong(name, f"it cannot be made later ({change.says()}): the stored day or an earlier one was expected")


def touched(footing: Footing, made: list[Change]) -> list[Change]:
    """The changes of columns that the footing holds fast."""
    if footing.mending:
        return [change for change in made if not (change.fills_a_blank or _adds(change.column.name, made))]
    held = [change for change in made if change.column.name in footing.columns]
    return [change for change in held if not (change.column.name in footing.fewer and change.falls)]


def _adds(name: str, made: list[Change]) -> bool:
    """A standing date, or the reason that goes with it: a later fact, which puts nothing right."""
    return name in STANDING or REASONS.get(name) in {change.column.name for change in made}
