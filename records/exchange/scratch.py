"""What a load must remember of what it has read, kept on disk so that memory stays bounded: a database of its own, gone when it ends."""

import sqlite3
from collections.abc import Collection, Iterable, Iterator
from typing import NamedTuple

READ, WRITTEN, BAD = range(3)

SCHEMA = """
CREATE TABLE rows (file TEXT, id TEXT, row INTEGER, state INTEGER DEFAULT 0, PRIMARY KEY (file, id)) WITHOUT ROWID;
CREATE TABLE problems (file_place INTEGER, row INTEGER, column_place INTEGER, file TEXT, column_name TEXT, says TEXT);
CREATE TABLE links (file TEXT, column_name TEXT, id TEXT, row INTEGER, target TEXT, written INTEGER);
CREATE TABLE changes (file TEXT, id TEXT, column_name TEXT);
"""
CHUNK = 500


class Problem(NamedTuple):
    """What is wrong, and where. Row 0: the file, or the folder, as a whole."""

    file: str
    row: int
    column: str
    says: str

    def __str__(self) -> str:
        where = [self.file, *([str(self.row)] if self.row else [])]
        return f"{':'.join(where)}: {self.column}: {self.says}" if self.column else f"{':'.join(where)}: {self.says}"


class Link(NamedTuple):
    """A record of a row names another of the same register, which may come later in the file."""

    id: str
    row: int
    target: str
    written: bool


class Scratch:
    """Rows read, problems found, links to be made and columns changed."""

    def __init__(self) -> None:
        self.db = sqlite3.connect("")
        self.db.executescript(SCHEMA)

    def see(self, file: str, rows: Iterable[tuple[str, int]]) -> dict[int, int]:
        """Remember identifiers and their rows. For each row whose identifier was seen before, gives the row that had it first."""
        again = {}
        for id, row in rows:
            done = self.db.execute("INSERT OR IGNORE INTO rows (file, id, row) VALUES (?, ?, ?)", (file, id, row))
            if not done.rowcount:
                again[row] = self.db.execute("SELECT row FROM rows WHERE file = ? AND id = ?", (file, id)).fetchone()[0]
        return again

    def mark(self, file: str, ids: Iterable[str], state: int) -> None:
        """Note that the rows were written, or are bad. What is bad stays bad."""
        self.db.executemany("UPDATE rows SET state = max(state, ?) WHERE file = ? AND id = ?", ((state, file, id) for id in ids))

    def note(self, file: str, id: str) -> None:
        """Note an identifier that is bad and has no row of its own."""
        self.db.execute("INSERT OR REPLACE INTO rows (file, id, row, state) VALUES (?, ?, 0, ?)", (file, id, BAD))

    def states(self, file: str, ids: Collection[str]) -> dict[str, int]:
        """READ, WRITTEN or BAD for each identifier that the folder's file has."""
        found: dict[str, int] = {}
        for chunk in chunks(sorted(ids)):
            marks = ",".join("?" * len(chunk))
            found.update(self.db.execute(f"SELECT id, state FROM rows WHERE file = ? AND id IN ({marks})", (file, *chunk)))
        return found

    def row_of(self, file: str, id: str) -> int:
        """The row of an identifier in the file; 0 where it has none."""
        found = self.db.execute("SELECT row FROM rows WHERE file = ? AND id = ?", (file, id)).fetchone()
        return found[0] if found else 0

    def problem(self, file_place: int, column_place: int, problem: Problem) -> None:
        self.db.execute("INSERT INTO problems VALUES (?, ?, ?, ?, ?, ?)", (file_place, problem.row, column_place, problem.file, problem.column, problem.says))

    def problems(self) -> Iterator[Problem]:
        """All problems by file, row and column."""
        found = self.db.execute("SELECT file, row, column_name, says FROM problems ORDER BY file_place, file, row, column_place, rowid")
        return (Problem(*row) for row in found)

    def count_problems(self) -> int:
        return self.db.execute("SELECT count(*) FROM problems").fetchone()[0]

    def link(self, file: str, column: str, links: Iterable[Link]) -> None:
        self.db.executemany("INSERT INTO links VALUES (?, ?, ?, ?, ?, ?)", ((file, column, *link) for link in links))

    def links(self, file: str, column: str) -> Iterator[list[Link]]:
        """The links of one column, some at a time."""
        found = self.db.execute("SELECT id, row, target, written FROM links WHERE file = ? AND column_name = ? ORDER BY rowid", (file, column))
        while some := found.fetchmany(CHUNK):
            yield [Link(*row) for row in some]

    def changed(self, file: str, changes: Iterable[tuple[str, str]]) -> None:
        """Note columns changed, or filled in a new record, as pairs of identifier and column."""
        self.db.executemany("INSERT INTO changes VALUES (?, ?, ?)", ((file, *change) for change in changes))

    def changed_ids(self, file: str, columns: Collection[str]) -> Iterator[list[str]]:
        """The identifiers of the records of which one of the columns changed, some at a time."""
        marks = ",".join("?" * len(columns))
        found = self.db.execute(f"SELECT DISTINCT id FROM changes WHERE file = ? AND column_name IN ({marks}) ORDER BY id", (file, *sorted(columns)))
        while some := found.fetchmany(CHUNK):
            yield [id for (id,) in some]


def chunks(ids: list[str]) -> Iterator[list[str]]:
    for start in range(0, len(ids), CHUNK):
        yield ids[start : start + CHUNK]
