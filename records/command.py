"""What every command of ours does before it begins."""

import sys
from datetime import datetime
from io import TextIOWrapper
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from records.rules import columns
from records.rules.text import Unfit, kept

WRONG_CALL = 2


class WrongCall(Exception):
    """What a command was asked for is not there, or cannot be understood."""


class OwnCommand(BaseCommand):
    """Says what to do where the database has no tables yet, and exits with 2. Prints escapes where the output cannot hold a character.

    `makes_tables`: a database with no table at all gets them instead.
    """

    makes_tables = False

    def execute(self, *args: Any, **options: Any) -> str | None:
        if isinstance(sys.stdout, TextIOWrapper):
            sys.stdout.reconfigure(errors="backslashreplace")
        tables = connection.introspection.table_names()
        if self.makes_tables and not tables:
            self.stderr.write("the database was empty: its tables are made")
            call_command("migrate", verbosity=0, interactive=False)
        elif "django_migrations" not in tables:
            raise CommandError("the database has no tables yet: run `manage.py migrate` first", returncode=WRONG_CALL)
        return super().execute(*args, **options)


def instant(text: str | None, now: datetime) -> datetime:
    """The instant given, as register files write one; without one, now. Raises WrongCall."""
    if text is None:
        return now
    try:
        return columns.Instant().read(kept(text))
    except Unfit as unfit:
        raise WrongCall(f"--at: {unfit}") from unfit
