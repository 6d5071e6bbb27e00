"""`manage.py set_password PERSON`: how somebody of the register of people comes to be able to sign in."""

import sys
from argparse import ArgumentParser
from getpass import getpass
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import CommandError

from records.clock import now
from records.command import WRONG_CALL, OwnCommand
from records.firm.actions import set_password
from records.firm.models import Person
from records.ledger.chain import COMMAND_LINE


class Command(OwnCommand):
    help = "Gives a person a password, asked for twice at a terminal, else read from the first line of the input."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("person", metavar="PERSON", help="the identifier in the register of people")

    def handle(self, *args: Any, **options: Any) -> None:
        at, person = now(), found(options["person"])
        if person.has_left(at):
            raise CommandError(f"{person} has left, and may not sign in", returncode=WRONG_CALL)
        given = password()
        try:
            validate_password(given, person)
        except ValidationError as weak:
            raise CommandError(" ".join(weak.messages), returncode=WRONG_CALL) from weak
        set_password(person.person, given, COMMAND_LINE, at)
        self.stdout.write(f"{person} can sign in with the new password.")


def found(identifier: str) -> Person:
    try:
        return Person.objects.get(person=identifier)
    except Person.DoesNotExist as nobody:
        raise CommandError(f"there is no person {identifier!r} on record", returncode=WRONG_CALL) from nobody


def password() -> str:
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    given = getpass("New password: ")
    if getpass("The same again: ") != given:
        raise CommandError("the two differ: nothing was changed", returncode=WRONG_CALL)
    return given
