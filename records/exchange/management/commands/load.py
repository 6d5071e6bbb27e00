"""A folder of registers into the database: all of it or nothing."""

import json
from argparse import ArgumentParser
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from records.clock import now
from records.command import WRONG_CALL, OwnCommand
from records.exchange.loading import Loaded, load
from records.exchange.scratch import Problem
from records.ledger.chain import COMMAND_LINE

STEP = 10_000  # rows between two words on how far it is


class Command(OwnCommand):
    requires_system_checks = ()
    makes_tables = True
    help = "Loads a folder of registers. Where anything is wrong every problem is listed, nothing is written, and the exit status is 2."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path, metavar="FOLDER")
        parser.add_argument("--dry-run", action="store_true", help="do everything except write")
        parser.add_argument("--json", action="store_true", help="print what was written, and the problems, as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        loaded = load(options["folder"], COMMAND_LINE, now(), dry_run=options["dry_run"], progress=self.progress())
        for name in loaded.skipped:
            self.stderr.write(f"skipped, not a register: {name!r}")
        (self.as_json if options["json"] else self.as_text)(loaded, options["dry_run"])
        if loaded.wrong:
            raise CommandError(f"nothing was written: {loaded.wrong} problem{'s' * (loaded.wrong > 1)}", returncode=WRONG_CALL)

    def progress(self) -> Callable[[str, int], None]:
        """Says on the error stream how far a large register is."""
        said = {}

        def say(file: str, rows: int) -> None:
            if rows // STEP > said.get(file, 0):
                said[file] = rows // STEP
                self.stderr.write(f"{file}: {rows} rows read")

        return say

    def as_text(self, loaded: Loaded, dry_run: bool) -> None:
        for problem in loaded.problems():
            self.stdout.write(printable(str(problem)))
        if not loaded.wrong:
            for file, rows in loaded.written.items():
                self.stdout.write(f"{file}: {rows} record{'' if rows == 1 else 's'} {'would be ' if dry_run else ''}written or changed")

    def as_json(self, loaded: Loaded, dry_run: bool) -> None:
        """The problems one at a time, for there may be many."""
        self.stdout.write(f'{{"written": {json.dumps(loaded.written)}, "problems": [', ending="")
        for place, problem in enumerate(loaded.problems()):
            self.stdout.write(("," if place else "") + "\n" + json.dumps(as_data(problem)), ending="")
        self.stdout.write("]}")


def as_data(problem: Problem) -> dict[str, Any]:
    return {"file": problem.file, "row": problem.row or None, "column": problem.column, "problem": problem.says}


def printable(text: str) -> str:
    """On one line, and without what a terminal cannot show."""
    return "".join(sign if sign.isprintable() else ascii(sign)[1:-1] for sign in text)
