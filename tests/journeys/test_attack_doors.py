"""Somebody who knocks at the door in every way, and commands that would go round it."""

from threading import Barrier, Thread

import pytest
from django.contrib.auth.hashers import MD5PasswordHasher
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection
from django.test import Client

from locates.permits import actions
from locates.permits.models import Permit, SignOff
from records.firm.models import Person
from records.ledger.facts import walked
from records.ledger.models import Entry
from tests import cast

DOOR = "/sign-in/"
AT_ONCE, LOOKED_AT = 12, 5


@pytest.mark.usefixtures("scene")
@pytest.mark.parametrize("person", ["P-ISS", "P-CR1", "P-NOBODY", "x" * 60])
def test_a_wrong_password_costs_as_much_work_whoever_is_named(client, monkeypatch, person):
    Person.objects.filter(person="P-CR1").update(password="!")
    worked, encode = [], MD5PasswordHasher.encode
    monkeypatch.setattr(MD5PasswordHasher, "encode", lambda *given: worked.append(1) or encode(*given))
    client.post(DOOR, {"username": person, "password": "four dry spades"})
    assert len(worked) == 1


@pytest.mark.django_db(transaction=True)
def test_guesses_sent_all_at_once_are_counted_one_by_one(hands):
    cast.everything()
    gate, told = Barrier(AT_ONCE), []

    def guess(number):
        gate.wait()
        told.append(Client().post(DOOR, {"username": "P-ISS", "password": f"spade {number}"}).status_code)
        connection.close()

    threads = [Thread(target=guess, args=(number,)) for number in range(AT_ONCE)]
    for one in threads:
        one.start()
    for one in threads:
        one.join(30)
    assert (len(told), set(told) <= {200, 429}) == (AT_ONCE, True)
    assert told.count(200) <= LOOKED_AT


def signed():
    cast.everything()
    return actions.sign("PD-1", "P-ISS", "issue", cast.AT, actions.preview("PD-1", cast.AT).seen)


@pytest.mark.django_db(transaction=True)
def test_the_frameworks_own_emptying_of_the_database_stops_at_what_was_signed():
    signed()
    with pytest.raises(CommandError):
        call_command("flush", interactive=False, verbosity=0)
    assert (SignOff.objects.count(), Entry.objects.count(), walked().broken) == (1, 1, None)


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("table", ["permits.SignOff", "permits.Permit", "surveys.Locate", "ledger.Entry"])
def test_a_fixture_does_not_overwrite_what_was_signed(tmp_path, table):
    made = signed()
    fixture = tmp_path / "changed.json"
    call_command("dumpdata", table, output=str(fixture))
    with pytest.raises(IntegrityError, match="never changed"):
        call_command("loaddata", str(fixture), verbosity=0)
    assert SignOff.objects.get() == made and Permit.objects.get().work.startswith("Trench")
