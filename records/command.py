"""What every command of ours does before it begins."""

import sys
from io import TextIOWrapper
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection

WRONG_CALL = 2


class OwnCommand(BaseCommand):
    """Says what to do where the database has no tables yet, and exits with 2. Prints escapes where the output cannot hold a character."""

    def execute(self, *args: Any, **options: Any) -> str | None:
        if isinstance(sys.stdout, TextIOWrapper):
            sys.stdout.reconfigure(errors="backslashreplace")
        if "django_migrations" not in connection.introspection.table_names():
            raise CommandError("the database has no tables yet: run `manage.py migrate` first", returncode=WRONG_CALL)
        return super().execute(*args, **options)
