"""The framework's own command of this name would make a person outside the registers: this one stands before it."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from records.command import WRONG_CALL


class Command(BaseCommand):
    help = "There are no superusers here."

    def handle(self, *args: Any, **options: Any) -> None:
        raise CommandError(
            "people come in with people.csv (manage.py load), and sign in once they have a password (manage.py set_password)", returncode=WRONG_CALL
        )
