"""All registers into a folder, which `load` reads back to the same records."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from records.command import WRONG_CALL, OwnCommand
from records.exchange.writing import NoFolder, export

STEP = 10_000


class Command(OwnCommand):
    requires_system_checks = ()
    help = "Writes all registers into a folder, and the signatures, for reading, into signed/ in it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path, metavar="FOLDER", help="a new folder, or one of an export before")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            written = export(options["folder"], self.progress)
        except NoFolder as trouble:
            raise CommandError(str(trouble), returncode=WRONG_CALL) from trouble
        for file, rows in written.items():
            self.stdout.write(f"{file}: {rows} record{'' if rows == 1 else 's'}")

    def progress(self, file: str, rows: int) -> None:
        if rows % STEP == 0:
            self.stderr.write(f"{file}: {rows} rows written")
