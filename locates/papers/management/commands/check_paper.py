"""Is a file a paper that was issued here?"""

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from locates.papers.checking import checked
from records.clock import now
from records.command import WRONG_CALL, OwnCommand


class Command(OwnCommand):
    help = "Says whether a PDF is a paper that was issued here. Exit status: 0 it is, unaltered and the latest; 1 altered, replaced or not ours; 2 wrong call."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            found = checked(options["file"].read_bytes(), now())
        except OSError as trouble:
            self.stderr.write(f"{options['file']} cannot be read: {trouble.strerror}")
            sys.exit(WRONG_CALL)
        for line in found.says:
            self.stdout.write(line)
        if not found.good:
            sys.exit(1)
