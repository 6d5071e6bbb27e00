"""A password given at the command line."""

import io

import pytest
from django.core.management import CommandError, call_command

from records.firm.models import Person
from records.ledger.chain import parse
from records.ledger.models import Entry
from tests import cast

pytestmark = pytest.mark.django_db(transaction=True)
GOOD = "wet clay under old boards"


@pytest.fixture(autouse=True)
def someone():
    return Person.objects.create(person="P-NEW", name="Nils Ottery", recorded_at=cast.RECORDED)


class Terminal(io.StringIO):
    def isatty(self):
        return True


@pytest.fixture
def typed(monkeypatch):
    """Run the command with a line as its input; gives the exit status."""

    def run(person, line, source=io.StringIO):
        monkeypatch.setattr("sys.stdin", source(f"{line}\n"))
        try:
            call_command("set_password", person, stdout=io.StringIO())
        except CommandError as refused:
            return refused.returncode
        return 0

    return run


def test_a_person_of_the_register_can_sign_in_afterwards(typed, client):
    assert typed("P-NEW", GOOD) == 0
    assert client.login(username="P-NEW", password=GOOD)


def test_the_history_tells_of_it_but_not_the_password(typed):
    typed("P-NEW", GOOD)
    body = Entry.objects.get().body
    assert parse(body)["act"] == "person.set_password"
    assert GOOD not in body


@pytest.mark.parametrize(("person", "line"), [("P-NEW", "short"), ("P-NEW", "nils ottery"), ("P-NONE", GOOD)])
def test_a_weak_password_or_nobody_is_refused(typed, person, line):
    assert typed(person, line) == 2
    assert not Entry.objects.exists()


def test_who_has_left_gets_none(typed, someone):
    Person.objects.update(left_on=cast.AT.date().replace(year=2020))
    assert typed("P-NEW", GOOD) == 2
    assert not Person.objects.get().has_usable_password()


@pytest.mark.parametrize(("second", "status"), [(GOOD, 0), ("wet clay under new boards", 2)])
def test_at_a_terminal_it_is_asked_for_twice(monkeypatch, second, status, typed):
    asked = iter([GOOD, second])
    monkeypatch.setattr("records.firm.management.commands.set_password.getpass", lambda prompt: next(asked))
    assert typed("P-NEW", "", Terminal) == status
