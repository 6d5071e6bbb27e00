"""A permit on paper."""

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from locates.permits.models import Permit
from locates.permits.paper import permit_pdf
from locates.permits.printing import sheet_to_print
from records.clock import now
from records.command import WRONG_CALL, OwnCommand, WrongCall, instant


class Command(OwnCommand):
    help = "Writes a permit as PDF: signed, not yet signed, or NOT TO DIG. Exit status: 0 written, 2 wrong call."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("permit", metavar="PERMIT")
        parser.add_argument("--out", required=True, metavar="FILE", help="the file to write")
        parser.add_argument("--at", metavar="INSTANT", help="as it stands at this instant, such as 2027-03-04T07:30+10:00; by default now")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            sheet = sheet_to_print(options["permit"], instant(options["at"], now()))
            Path(options["out"]).write_bytes(permit_pdf(sheet))
        except Permit.DoesNotExist:
            self._refuse(f"There is no permit {options['permit']}.")
        except (WrongCall, OSError) as wrong:
            self._refuse(str(wrong))
        self.stdout.write(f"{options['out']}: permit {options['permit']}")

    def _refuse(self, why: str) -> None:
        self.stderr.write(why)
        sys.exit(WRONG_CALL)
