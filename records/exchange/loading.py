"""A register folder into the database: all of it or nothing, file by file, in one errand."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from records.exchange.catalogue import checks, file_of, tables
from records.exchange.filing import Filing, places
from records.exchange.folder import look_into, named, opened
from records.exchange.linking import unknown_says
from records.exchange.scratch import BAD, Link, Problem, Scratch
from records.exchange.storing import ends
from records.ledger.actions import Errand, errand
from records.ledger.chain import Actor
from records.tables import Column, Table

Progress = Callable[[str, int], None]
ACT = "folder.load"


class _NotKept(Exception):
    """Leaves the errand so that nothing of it is kept."""


@dataclass(frozen=True, slots=True)
class Loaded:
    """What a load wrote, or would have: rows by file; or what is wrong. `skipped`: what of the folder was not read."""

    written: dict[str, int]
    scratch: Scratch
    skipped: tuple[str, ...]

    @property
    def wrong(self) -> int:
        """How many problems there are."""
        return self.scratch.count_problems()

    def problems(self) -> Iterator[Problem]:
        return self.scratch.problems()


def load(path: Path, by: Actor, at: datetime, *, dry_run: bool = False, progress: Progress = lambda file, rows: None) -> Loaded:
    """Load the folder at the instant. Where anything is wrong, or on a dry run, nothing is written."""
    folder, scratch = look_into(path), Scratch()
    for problem in folder.problems:
        scratch.problem(-1, 0, problem)
    written: dict[str, int] = {}
    try:
        with errand(by, at, may_be_empty=True) as underway:
            loading = Loading(scratch, underway, progress)
            loading.lose(folder.lost)
            for file in (file for file in tables() if file in folder.files):
                written[file] = loading.file(tables()[file], folder.files[file])
            loading.look_back()
            if scratch.count_problems() or dry_run:
                raise _NotKept
            if any(written.values()):
                name = named(path.resolve())
                underway.write(ACT, "folder", name, name, at, after={"written": written})
    except _NotKept:
        pass
    return Loaded({} if scratch.count_problems() else written, scratch, folder.skipped)


class Loading:
    """One load underway. `why`: the reason for all that it changes; `mending`: whether settled records may be put right, where nothing rests on them."""

    def __init__(self, scratch: Scratch, underway: Errand, progress: Progress, why: str = "", mending: bool = False) -> None:
        self.scratch, self.underway, self.progress = scratch, underway, progress
        self.why, self.mending = why, mending
        self.lost: set[str] = set()
        self.names: dict[str, str] = {}

    def lose(self, files: Iterable[str]) -> None:
        """Note registers, and what comes to be with their rows, of which it is not known which records they hold."""
        for file in files:
            self.lost.add(file)
            if (table := tables()[file]).makes:
                self.lost.add(file_of(table.column(table.makes).refers))

    def file(self, table: Table, path: Path) -> int:
        """Load one register; gives the number of records created or changed."""
        filing = self._filing(table, path.name)
        try:
            with opened(path) as lines:
                filing.read(lines, self.progress)
        except OSError as trouble:
            filing.report(0, "", f"the file cannot be read ({trouble.strerror}): a file of text was expected")
            filing.reader.lost = True
        return self._filed(filing)

    def lines(self, table: Table, lines: Iterable[str]) -> int:
        """Load rows of one register as a file would have them; gives the number of records created or changed."""
        filing = self._filing(table, table.file)
        filing.read(lines, self.progress)
        return self._filed(filing)

    def _filing(self, table: Table, name: str) -> Filing:
        self.names[table.file] = name
        return Filing(table, name, self.scratch, self.underway, self.lost, self.why, self.mending)

    def _filed(self, filing: Filing) -> int:
        table = filing.table
        if filing.reader.lost:
            self.lose([table.file])
        for column in table.columns:
            if column.to_itself:
                self._link(filing, column)
        return filing.written

    def _link(self, filing: Filing, column: Column) -> None:
        """Make the links between records of one register, now that all of them are known."""
        for links in self.scratch.links(filing.table.file, column.name):
            targets = {link.target for link in links}
            known = set(column.refers.objects.filter(pk__in=targets).values_list("pk", flat=True))
            states = self.scratch.states(filing.table.file, targets)
            made = []
            for link in links:
                if link.target in known:
                    made.append(link)
                elif states.get(link.target) != BAD and filing.table.file not in self.lost:
                    filing.report(link.row, column.name, unknown_says(column, link.target))
            self._store(column, [link for link in made if link.written])

    def _store(self, column: Column, links: list[Link]) -> None:
        through, source, target = ends(column)
        through.objects.bulk_create([through(**{source: link.id, target: link.target}) for link in links])

    def look_back(self) -> None:
        """Check across records, now that all are as they will be."""
        for table in tables().values():
            for check in checks(table.file):
                for ids in self.scratch.changed_ids(table.file, check.columns):
                    for id, wrong in check.find(ids):
                        row = self.scratch.row_of(table.file, id)
                        self.scratch.problem(*places(table.file, wrong.column), Problem(self.names[table.file], row, wrong.column, wrong.says))
