"""A log's rows, read by a layout. Rows are counted as a spreadsheet does, from 1 on. What cannot be read is told by row and column."""

import csv
import io
import math
from array import array
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import BinaryIO
from zoneinfo import ZoneInfo

from locates.logs.rules.layout import DELIMITERS, LONGEST_WORD, LONLAT, MOST_COLUMNS, MOST_WORDS, SITE, UTF_8, UTF_16, How
from locates.logs.rules.times import AT_SITE, ITS_OWN, Clock
from records.rules.text import Unfit, kept, shown

LARGEST, MOST_ROWS = 15 * 1024 * 1024, 200_000  # bytes; rows below the header
MOST_FAULTS = 20  # that are told one by one
FARTHEST_M, FARTHEST_NUMBER = 100_000, 1e12
NONE = math.nan

Place = Callable[[float, float], tuple[float, float]]
_MARKS = ((b"\xef\xbb\xbf", UTF_8), (b"\xff\xfe", UTF_16), (b"\xfe\xff", UTF_16))
_CODECS = {UTF_8: ("utf-8-sig", "surrogateescape"), UTF_16: ("utf-16", "replace")}


@dataclass(frozen=True, slots=True)
class Fault:
    """What cannot be read: in which row and column (blank: the whole row; row 0: the whole file), and why."""

    row: int
    column: str
    says: str


@dataclass(slots=True)
class Rows:
    """What was read, column by column: instants (milliseconds), the number of the mode's word, reading and position (not a number: none)."""

    words: dict[str, int] = field(default_factory=dict)
    at: array = field(default_factory=lambda: array("q"))
    mode: array = field(default_factory=lambda: array("H"))
    value: array = field(default_factory=lambda: array("d"))
    x: array = field(default_factory=lambda: array("d"))
    y: array = field(default_factory=lambda: array("d"))
    faults: list[Fault] = field(default_factory=list)
    more: int = 0

    def __len__(self) -> int:
        return len(self.at)

    def say(self, fault: Fault) -> None:
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(fault)
        else:
            self.more += 1

    def counts(self) -> dict[str, int]:
        """How many rows bear each word."""
        found = [0] * len(self.words)
        for one in self.mode:
            found[one] += 1
        return dict(zip(self.words, found, strict=True))


def marked(head: bytes) -> str:
    """The encoding that a byte-order mark tells; nothing where there is none."""
    return next((encoding for mark, encoding in _MARKS if head.startswith(mark)), "")


def lines(file: BinaryIO, encoding: str, delimiter: str) -> Iterator[list[str]]:
    """The cells of each row of the file. Raises csv.Error for quotes that fit nowhere."""
    file.seek(0)
    codec, trouble = _CODECS.get(encoding, (encoding, "strict"))
    text = io.TextIOWrapper(file, codec, trouble, newline="")
    try:
        yield from csv.reader(text, delimiter=DELIMITERS[delimiter], strict=True)
    finally:
        text.detach()


def sample(file: BinaryIO, encoding: str, delimiter: str, above: int, most: int = 6) -> list[list[str]]:
    """The header and the first rows, each cell cut short, for looking at. Empty where there is none, or it cannot be read."""
    try:
        found = list(islice(lines(file, encoding, delimiter), above, above + most))
    except (csv.Error, UnicodeError):
        return []
    return [[readable(cell)[:LONGEST_WORD] for cell in row[:MOST_COLUMNS]] for row in found]


def readable(cell: str) -> str:
    """A cell without what no page can show."""
    return "".join(one if one.isprintable() else "\ufffd" for one in cell.strip())


def headed(file: BinaryIO, how: How) -> bool:
    """Does the file's header read as the layout's?"""
    return [tuple(row) for row in sample(file, how.encoding, how.delimiter, how.above, 1)] == [how.header]


def read(file: BinaryIO, how: How, site: ZoneInfo, place: Place | None = None) -> Rows:
    """Every row below the header. `site`: the zone of the site; `place` turns longitude and latitude into its metres."""
    found = Rows()
    one = _Reader(how, site, place, found)
    try:
        for number, cells in enumerate(lines(file, how.encoding, how.delimiter), start=1):
            if number <= how.above + 1 or not any(map(str.strip, cells)):
                continue
            if len(found) >= MOST_ROWS:
                found.say(Fault(number, "", f"the file has more than {MOST_ROWS:,} rows: a shorter log was expected, of this locate alone"))
                break
            one.row(number, cells)
    except (csv.Error, UnicodeError) as trouble:
        found.say(Fault(0, "", f"the file breaks off after {len(found):,} readings ({trouble}): is this its delimiter and its encoding?"))
    if not len(found) and not found.faults:
        found.say(Fault(0, "", "no row stands below the header: a log with readings was expected"))
    return found


class _Reader:
    """Reads rows into what is found."""

    def __init__(self, how: How, site: ZoneInfo, place: Place | None, found: Rows) -> None:
        zone = site if how.zone == AT_SITE else None if how.zone in (ITS_OWN, "") else ZoneInfo(how.zone)
        self.how, self.place, self.found, self.clock = how, place, found, Clock(how.time_form, zone)

    def row(self, number: int, cells: Sequence[str]) -> None:
        how, before = self.how, len(self.found.faults) + self.found.more
        if any(map(str.strip, cells[len(how.header) :])):
            return self.found.say(Fault(number, "", f"it has {len(cells)} cells: {len(how.header)} were expected, as the header has"))
        at = self._cell(number, how.time, cells, self._time)
        mode = self._cell(number, how.mode, cells, self._mode)
        value = self._cell(number, how.reading, cells, self._number)
        x, y = (self._cell(number, column, cells, self._number) for column in (how.x, how.y))
        if len(self.found.faults) + self.found.more > before:
            return None
        try:
            x, y = self._placed(x, y)
        except Unfit as fault:
            return self.found.say(Fault(number, how.column(how.x), str(fault)))
        for column, one in (("at", at), ("mode", mode), ("value", value), ("x", x), ("y", y)):
            getattr(self.found, column).append(one)
        return None

    def _cell(self, number: int, column: int | None, cells: Sequence[str], reads: Callable[[str, Sequence[str]], float]) -> float:
        """The value of a cell; where it cannot be read, that is said and none is given."""
        if column is None:
            return NONE
        try:
            text = kept(cells[column]) if column < len(cells) else ""
            if "\ufffd" in text:
                raise Unfit(f"{shown(text)} is not in this encoding: another one was expected")
            return reads(text, cells)
        except Unfit as fault:
            self.found.say(Fault(number, self.how.column(column), str(fault)))
            return NONE

    def _time(self, text: str, cells: Sequence[str]) -> int:
        if self.how.day is not None:
            text = f"{kept(cells[self.how.day]) if self.how.day < len(cells) else ''} {text}"
        if not text.strip():
            raise Unfit("it is empty: a time was expected")
        return self.clock.read(text)

    def _mode(self, text: str, cells: Sequence[str]) -> int:
        if len(text) > LONGEST_WORD:
            raise Unfit(f"it has {len(text)} characters: a word for the mode was expected")
        if text not in self.found.words and len(self.found.words) >= MOST_WORDS:
            raise Unfit(f"{shown(text)} is one word more than {MOST_WORDS}: is this the column that tells the mode?")
        return self.found.words.setdefault(text, len(self.found.words))

    def _number(self, text: str, cells: Sequence[str]) -> float:
        """A number, written with a decimal comma or point as the layout says; none where the cell is blank."""
        if not text:
            return NONE
        plain = text.replace(",", ".") if self.how.decimal_comma else text
        try:
            if "_" in plain or (self.how.decimal_comma and "." in text):
                raise ValueError
            number = float(plain)
        except ValueError:
            raise Unfit(f"{shown(text)} is not a number: digits with a decimal {'comma' if self.how.decimal_comma else 'point'} were expected") from None
        if not abs(number) < FARTHEST_NUMBER:
            raise Unfit(f"{shown(text)} is out of bounds: a number of common size was expected")
        return number

    def _placed(self, x: float, y: float) -> tuple[float, float]:
        """The position in the site's metres. Raises Unfit for half of one, and for one too far away."""
        if math.isnan(x) and math.isnan(y):
            return NONE, NONE
        if math.isnan(x) or math.isnan(y):
            raise Unfit("only one half of the position is filled: both or neither were expected")
        if self.how.position == LONLAT:
            if abs(x) > 180 or abs(y) > 90:
                raise Unfit(f"{x:g} {y:g} is no longitude and latitude: -180 to 180 and -90 to 90 degrees were expected")
            if self.place is None:
                raise Unfit("it is a longitude and latitude, and nobody has said how this site's grid lies on the Earth")
            x, y = self.place(x, y)
        if not max(abs(x), abs(y)) <= FARTHEST_M:
            where = "of the site's grid" if self.how.position == SITE else "from the site"
            raise Unfit(f"{x:.0f} {y:.0f} is out {where}: within {FARTHEST_M:,} metres was expected")
        return x, y
