"""The firm's seal: a key and a certificate of its own."""

import sys
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from locates.papers.seal import make_seal
from records.clock import now
from records.command import WRONG_CALL


class Command(BaseCommand):
    requires_system_checks = ()
    help = "Makes the key and the certificate with which issued papers are sealed. Exit status: 0 made, 2 nothing was done."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", metavar="NAME", help="the firm's name, as the certificate is to bear it: at most 64 characters")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            path = make_seal(options["name"], now())
        except FileExistsError:
            self._refuse(f"{settings.SEAL_FILE} is there already, and was left as it is: papers were perhaps sealed with it")
        except (OSError, ValueError) as trouble:
            self._refuse(f"nothing was made: {trouble}")
        self.stdout.write(f"{path}: keep it secret, and a copy of it elsewhere. Papers that are printed from now on are sealed.")

    def _refuse(self, why: str) -> None:
        self.stderr.write(why)
        sys.exit(WRONG_CALL)
