"""The framework's own commands for people do nothing past the registers and the history."""

import io

import pytest
from django.core.management import CommandError, call_command

from records.firm.models import Person
from records.ledger.models import Entry
from tests import cast

pytestmark = pytest.mark.django_db


def test_no_superuser_is_made_outside_the_registers():
    with pytest.raises(CommandError, match=r"people\.csv"):
        call_command("createsuperuser")
    assert not Person.objects.exists()


def test_a_password_changed_from_the_command_line_has_its_entry(monkeypatch):
    cast.people()
    monkeypatch.setattr("sys.stdin", io.StringIO("seven dry verges\n"))
    call_command("changepassword", "P-ISS", stdout=io.StringIO())
    assert Person.objects.get(person="P-ISS").check_password("seven dry verges")
    assert [(one.act, one.subject_id) for one in Entry.objects.all()] == [("person.set_password", "P-ISS")]
