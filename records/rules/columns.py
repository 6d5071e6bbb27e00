"""The columns that registers have: days, instants, numbers and shapes, read strictly and written one way."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from functools import cache
from typing import ClassVar
from zoneinfo import ZoneInfo, available_timezones

from records.rules import wkt
from records.rules.dates import instant_text
from records.rules.kinds import UTC_ZONE, Identifier, Items, Plain, Text
from records.rules.numbers import VALUE_WORDS
from records.rules.text import Unfit, shown

FIRST_DAY, LAST_DAY = date(1900, 1, 1), date(9998, 12, 31)
LONGEST_SHAPE, LONGEST_VALUE = 100_000, 40
NONE = "none"

_DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})", re.ASCII)
_INSTANT = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})T([0-9]{2}):([0-9]{2})(?::([0-9]{2}))?(?:(Z)|([+-])([0-9]{2}):([0-9]{2}))?", re.ASCII)
_NUMBER = re.compile(r"(-?[0-9]+)(?:\.([0-9]+))?", re.ASCII)
_NEEDLESS = re.compile(r"^(-?)0+(?=[0-9])", re.ASCII)
_NEEDLESS_BLANK = re.compile(r" ?([(,]) ?", re.ASCII)
_COUNT = re.compile(r"[0-9]+", re.ASCII)


@dataclass(frozen=True)
class Day(Plain):
    def read(self, text: str) -> date:
        found = _DAY.fullmatch(text)
        if not found:
            raise Unfit(f"{shown(text)} is not a date: YYYY-MM-DD was expected")
        return _day(text, found.groups())

    def write(self, value: date | None, zone: ZoneInfo) -> str:
        return "" if value is None else value.isoformat()


def _day(text: str, parts: tuple[str, ...]) -> date:
    try:
        day = date(*map(int, parts))
    except ValueError as trouble:
        raise Unfit(f"{shown(text)} is not in the calendar ({trouble}): YYYY-MM-DD was expected") from trouble
    if not FIRST_DAY <= day <= LAST_DAY:
        raise Unfit(f"{shown(text)} is out of range: {FIRST_DAY} to {LAST_DAY} was expected")
    return day


@dataclass(frozen=True)
class Instant(Plain):
    """Read into UTC, to the second. The date as it is written is what must be in range."""

    def read(self, text: str) -> datetime:
        found = _INSTANT.fullmatch(text)
        if not found:
            raise Unfit(f"{shown(text)} is not an instant: YYYY-MM-DDTHH:MM[:SS] followed by Z or ±HH:MM was expected")
        *day, hour, minute, second, z, sign, off_hours, off_minutes = found.groups()
        if not (z or sign):
            raise Unfit(f"{shown(text)} has no offset: Z or ±HH:MM was expected after the time")
        offset = timedelta() if z else timedelta(hours=int(off_hours), minutes=int(off_minutes)) * (-1 if sign == "-" else 1)
        if not z and (int(off_hours) > 23 or int(off_minutes) > 59):
            raise Unfit(f"{shown(text)} has no such offset: Z or ±HH:MM was expected after the time")
        _day(text, tuple(day))
        return _instant(text, tuple(map(int, (*day, hour, minute, second or 0))), offset)

    def write(self, value: datetime | None, zone: ZoneInfo) -> str:
        if value is None:
            return ""
        if value.tzinfo is None:
            return value.isoformat(timespec="seconds")
        return _written(value, zone)


def _written(instant: datetime, zone: ZoneInfo) -> str:
    """In the zone's offset; at the ends of the dates' range, where that would fall out of it, in an offset that does not."""
    inwards = timedelta(hours=23, minutes=59) * (-1 if instant.year > LAST_DAY.year // 2 else 1)
    for text in (instant_text(instant, zone), instant_text(instant, UTC_ZONE)):
        if FIRST_DAY.isoformat() <= text[:10] <= LAST_DAY.isoformat():
            return text
    return instant.astimezone(timezone(inwards)).isoformat(timespec="seconds")


def _instant(text: str, parts: tuple[int, ...], offset: timedelta) -> datetime:
    try:
        return datetime(*parts, tzinfo=timezone(offset)).astimezone(UTC)
    except ValueError as trouble:
        raise Unfit(f"{shown(text)} is no time of day ({trouble}): HH:MM[:SS] was expected") from trouble


@dataclass(frozen=True)
class Number(Plain):
    """A decimal within bounds: `above` is left out of them, `below` too, `low` and `high` are in."""

    above: int | None = None
    low: int | None = None
    high: int | None = None
    below: int | None = None
    places: int = 3

    def read(self, text: str) -> Decimal:
        found = _NUMBER.fullmatch(text)
        if not found:
            raise Unfit(f"{shown(text)} is not a number: digits with a decimal point were expected")
        if len(found[2] or "") > self.places:
            raise Unfit(f"{shown(text)} has {len(found[2])} decimals: at most {self.places} were expected")
        value = Decimal(text)
        if not self._holds(value):
            raise Unfit(f"{shown(text)} is out of bounds: {self.bounds} was expected")
        return Decimal(wkt.plain(found[1], found[2] or ""))

    def _holds(self, value: Decimal) -> bool:
        return (
            (self.above is None or value > self.above)
            and (self.low is None or value >= self.low)
            and (self.high is None or value <= self.high)
            and (self.below is None or value < self.below)
        )

    @property
    def bounds(self) -> str:
        said = (("above", self.above), ("at least", self.low), ("at most", self.high), ("below", self.below))
        return " and ".join(f"{how} {limit}" for how, limit in said if limit is not None)

    def write(self, value: Decimal | None, zone: ZoneInfo) -> str:
        if value is None:
            return ""
        whole, _, part = f"{value:f}".partition(".")
        return wkt.plain(whole, part)


@dataclass(frozen=True)
class Count(Plain):
    """A whole number from 1 on, or `none`, which reads as None."""

    high: int

    def read(self, text: str) -> int | None:
        if text == NONE:
            return None
        if not _COUNT.fullmatch(text) or not 1 <= int(text) <= self.high:
            raise Unfit(f"{shown(text)} is not such a number: a whole number from 1 to {self.high}, or none, was expected")
        return int(text)

    def write(self, value: int | None, zone: ZoneInfo) -> str:
        return NONE if value is None else str(value)


@dataclass(frozen=True)
class Shape(Plain):
    """A shape in its one form, by the reader that knows which are fit; written without needless blanks where it is too long with them."""

    reader: Callable[[str], wkt.Shape]
    blank: ClassVar[str] = ""
    longest: ClassVar[int] = LONGEST_SHAPE

    def read(self, text: str) -> str:
        return self.reader(text).text

    def write(self, value: str, zone: ZoneInfo) -> str:
        return value if len(value) <= self.longest else _NEEDLESS_BLANK.sub(r"\1", value)


@dataclass(frozen=True)
class TimeZone(Plain):
    blank: ClassVar[str] = ""

    def read(self, text: str) -> str:
        if text not in zones():
            raise Unfit(f"{shown(text)} is not a time zone: an IANA name like Pacific/Auckland was expected")
        return text

    def write(self, value: str, zone: ZoneInfo) -> str:
        return value


@cache
def zones() -> set[str]:
    """The names of all time zones."""
    return available_timezones() - {"localtime", "posixrules", "Factory"}


@dataclass(frozen=True)
class RuleValue(Plain):
    """The text of a number in force, or yes or no, or another word that some key takes. Which of them, and its bounds, depend on the key."""

    blank: ClassVar[str] = ""

    def read(self, text: str) -> str:
        found = _NUMBER.fullmatch(text)
        if not found and text not in VALUE_WORDS:
            raise Unfit(f"{shown(text)} is neither a number nor yes or no: one of them was expected")
        if found and len(found[2] or "") > NUMBER.places:
            raise Unfit(f"{shown(text)} has {len(found[2])} decimals: at most {NUMBER.places} were expected")
        short = _NEEDLESS.sub(r"\1", text)
        if len(short) > LONGEST_VALUE:
            raise Unfit(f"{shown(text)} is out of bounds: a number of common size was expected")
        return short

    def write(self, value: str, zone: ZoneInfo) -> str:
        return value

    def same(self, one: str, other: str) -> bool:
        return one == other or (not {one, other} & {*VALUE_WORDS, ""} and Decimal(one) == Decimal(other))


TEXT = Text()
NUMBER = Number()
IDENTIFIER, IDENTIFIERS = Identifier(), Items(Identifier())
DAY, INSTANT = Day(), Instant()
OWNERS = Items(TEXT)
AREA = Shape(lambda text: wkt.read(text, (wkt.POLYGON, wkt.MULTIPOLYGON)))
LINE = Shape(lambda text: wkt.read(text, (wkt.LINESTRING,)))
OUTLINE = Shape(wkt.read_outline)
METRES = Number(above=0, high=100)
METRES_OR_NONE = Number(low=0, high=100)
COORDINATE = Number(low=-wkt.FARTHEST_M, high=wkt.FARTHEST_M, places=wkt.PLACES)
BEARING = Number(low=0, below=360)
MONTHS, DAYS = Count(1200), Count(3660)
