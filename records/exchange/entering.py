"""Records entered in the browser: a few rows, through the same door as a register folder, so that the same rules meet them."""

import csv
import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from records.exchange.catalogue import tables
from records.exchange.loading import Loading
from records.exchange.scratch import Problem, Scratch
from records.ledger.actions import Errand, errand
from records.ledger.chain import Actor

# rows of one register, each the texts of its cells by column; all of them have the same columns
Sheet = tuple[str, Sequence[dict[str, str]]]
Beside = Callable[[Errand], None]


class _NotKept(Exception):
    """Leaves the errand so that nothing of it is kept."""


@dataclass(frozen=True, slots=True)
class Entered:
    """What was written, or would have been: records by register; or what is wrong. A problem's `row` counts from 0, as the rows were given."""

    written: dict[str, int]
    problems: tuple[Problem, ...]

    @property
    def right(self) -> bool:
        return not self.problems


def nothing(underway: Errand) -> None:
    """Nothing is done beside the rows."""


def enter(
    sheets: Sequence[Sheet],
    by: Actor,
    at: datetime,
    *,
    why: str = "",
    mending: bool = False,
    first: Beside = nothing,
    last: Beside = nothing,
    dry_run: bool = False,
) -> Entered:
    """Write the rows in one errand, all or none, in the registers' own order whatever order they are given in.

    `why`: the reason for what they change. `mending`: settled records may be put right, where nothing signed or finished rests on them.
    `first` is done inside the errand before anything is read, and may raise to leave all as it was; `last` is done once all is written
    and right, also on a dry run, before which nothing of the errand is kept. Rows that change nothing write nothing.
    """
    scratch, written = Scratch(), {}
    given = dict(sheets)
    try:
        with errand(by, at, may_be_empty=True) as underway:
            first(underway)
            loading = Loading(scratch, underway, lambda file, rows: None, why, mending)
            for file in (file for file in tables() if given.get(file)):
                written[file] = loading.lines(tables()[file], lines(given[file]))
            loading.look_back()
            if scratch.count_problems():
                raise _NotKept
            last(underway)
            if dry_run:
                raise _NotKept
    except _NotKept:
        pass
    problems = tuple(problem._replace(row=problem.row - 2) for problem in scratch.problems())
    return Entered({} if problems else written, problems)


def lines(rows: Sequence[dict[str, str]]) -> Iterator[str]:
    """The rows as the lines of a register file."""
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    for row in rows:
        writer.writerow(row)
    text.seek(0)
    return iter(text.readline, "")
