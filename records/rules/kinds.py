"""What every kind of column can do, and the kinds of words and texts.

`read` is given the text of a filled cell as `text.kept` leaves it and raises Unfit; `write(value, zone)` gives the one written form,
instants in the zone's offset; `blank` is the value of an empty cell.
"""

import re
from dataclasses import dataclass
from typing import Any, ClassVar, Protocol
from zoneinfo import ZoneInfo

from records.rules.text import Unfit, kept, shown

LONGEST_TEXT = 2_000
YES, NO = "yes", "no"
UTC_ZONE = ZoneInfo("UTC")

_IDENTIFIER = re.compile(r"[A-Za-z0-9._-]{1,40}", re.ASCII)


class Kind(Protocol):
    """What every kind of column can do."""

    blank: ClassVar[Any]
    blank_says: ClassVar[bool]
    longest: ClassVar[int]

    def read(self, text: str) -> Any: ...

    def write(self, value: Any, zone: ZoneInfo) -> str: ...

    def same(self, one: Any, other: Any) -> bool: ...


def value_of(kind: Kind, text: str) -> Any:
    """The value of a cell, of which the kept text is given. Raises Unfit."""
    if not text:
        return kind.blank
    if len(text) > kind.longest:
        raise Unfit(f"it has {len(text)} characters: 1 to {kind.longest} were expected")
    return kind.read(text)


def settled(kind: Kind, value: Any) -> Any:
    """The value as the column keeps it. Raises Unfit for one that the column cannot hold."""
    return value_of(kind, kept(kind.write(value, UTC_ZONE)))


class Plain:
    """A kind whose values are equal where Python says so, and whose empty cell holds nothing. `blank_says`: it tells something, so filling it is a change."""

    blank: ClassVar[Any] = None
    blank_says: ClassVar[bool] = False
    longest: ClassVar[int] = LONGEST_TEXT

    def same(self, one: Any, other: Any) -> bool:
        return one == other


@dataclass(frozen=True)
class Text(Plain):
    blank: ClassVar[str] = ""

    def read(self, text: str) -> str:
        return text

    def write(self, value: str, zone: ZoneInfo) -> str:
        return value


@dataclass(frozen=True)
class Identifier(Plain):
    def read(self, text: str) -> str:
        if not _IDENTIFIER.fullmatch(text):
            raise Unfit(f"{shown(text)} is not an identifier: 1 to 40 of A-Z, a-z, 0-9, dot, underscore and hyphen were expected")
        return text

    def write(self, value: str | None, zone: ZoneInfo) -> str:
        return value or ""


@dataclass(frozen=True)
class Word(Plain):
    words: tuple[str, ...]

    def read(self, text: str) -> str:
        if text not in self.words:
            raise Unfit(f"{shown(text)} is not known here: one of {', '.join(self.words)} was expected")
        return text

    def write(self, value: str | None, zone: ZoneInfo) -> str:
        return value or ""


@dataclass(frozen=True)
class YesNo(Plain):
    """Yes or no; where `blank_is_no` an empty cell says no too."""

    blank_is_no: bool = False

    def read(self, text: str) -> bool:
        if text not in (YES, NO):
            raise Unfit(f"{shown(text)} is neither: yes or no was expected")
        return text == YES

    def write(self, value: bool | None, zone: ZoneInfo) -> str:
        return "" if value is None else YES if value else NO

    def same(self, one: bool | None, other: bool | None) -> bool:
        return bool(one) == bool(other) if self.blank_is_no else one == other


@dataclass(frozen=True)
class Items(Plain):
    """A list, each item of one kind, none twice; kept sorted by code point."""

    item: Kind
    blank: ClassVar[tuple] = ()

    def read(self, text: str) -> tuple[str, ...]:
        items = [self._item(part) for part in text.split(";")]
        if twice := next((item for n, item in enumerate(items) if item in items[:n]), None):
            raise Unfit(f"{shown(twice)} is in the list twice: each once was expected")
        return tuple(sorted(items))

    def _item(self, part: str) -> str:
        item = kept(part)
        if not item:
            raise Unfit("an item of the list is empty: items with ; between them were expected")
        return self.item.read(item)

    def write(self, value: tuple[str, ...], zone: ZoneInfo) -> str:
        return ";".join(sorted(value))
