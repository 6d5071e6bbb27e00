"""Comma-separated text, read record by record as RFC 4180 says and no looser."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

QUOTE = '"'
LONGEST_RECORD = 64_000_000  # characters after which a quote that was never closed is given up

_CELL = re.compile(r'"((?:[^"]|"")*+)"(?=,|\Z)|([^",]*+)(?=,|\Z)')


@dataclass(frozen=True, slots=True)
class Malformed:
    """A record that is not RFC 4180, and the number of the cell, from 0 on, that is not."""

    cell: int
    says: str


def records(lines: Iterable[str]) -> Iterator[list[str] | Malformed]:
    """The cells of each record. `lines` keep their line ends; an empty line is a record without cells."""
    waiting: list[str] = []
    length, odd = 0, False
    for line in lines:
        waiting.append(line)
        length += len(line)
        odd ^= line.count(QUOTE) % 2 == 1
        if odd and length <= LONGEST_RECORD:
            continue
        if odd:
            break
        yield split("".join(waiting))
        waiting, length = [], 0
    if waiting:
        yield Malformed(_cells_before_the_open_quote("".join(waiting)), "a quote is opened and never closed: a closing quote was expected")


def split(record: str) -> list[str] | Malformed:
    """The cells of one record, its line end left off."""
    record = record.removesuffix("\n").removesuffix("\r")
    if QUOTE not in record:
        return record.split(",") if record else []
    cells: list[str] = []
    at = 0
    while at <= len(record):
        found = _CELL.match(record, at)
        if found is None:
            return Malformed(len(cells), "a quote stands where none may: a cell with quotes in it was expected to be quoted, and each of them doubled")
        cells.append(found[2] if found[1] is None else found[1].replace('""', QUOTE))
        at = found.end() + 1
    return cells


def _cells_before_the_open_quote(record: str) -> int:
    count, at = 0, 0
    while found := _CELL.match(record, at):
        count, at = count + 1, found.end() + 1
    return count
