"""Comma-separated text, read record by record as RFC 4180 says and no looser."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

QUOTE = '"'
LONGEST_RECORD = 16_000_000  # characters after which a record is given up, lest one that never ends fills the memory

_CELL = re.compile(r'"((?:[^"]|"")*+)"(?=,|\Z)|([^",]*+)(?=,|\Z)')


@dataclass(frozen=True, slots=True)
class Malformed:
    """A record that is not RFC 4180, and the number of the cell, from 0 on, that is not."""

    cell: int
    says: str


def records(lines: Iterable[str]) -> Iterator[list[str] | Malformed]:
    """The cells of each record. `lines` keep their line ends; an empty line is a record without cells. What follows a record given up is not read."""
    waiting: list[str] = []
    length, odd = 0, False
    for line in lines:
        waiting.append(line)
        length += len(line)
        odd ^= line.count(QUOTE) % 2 == 1
        if length > LONGEST_RECORD:
            break
        if not odd:
            yield split("".join(waiting))
            waiting, length = [], 0
    if waiting:
        yield _given_up("".join(waiting), odd)


def _given_up(record: str, odd: bool) -> Malformed:
    cells = _whole_cells(record)
    if odd:
        return Malformed(cells, "a quote is opened and never closed: a closing quote was expected")
    return Malformed(max(cells - 1, 0), f"the row has more than {LONGEST_RECORD} characters: a shorter one was expected")


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


def _whole_cells(record: str) -> int:
    count, at = 0, 0
    while at <= len(record) and (found := _CELL.match(record, at)):
        count, at = count + 1, found.end() + 1
    return count
