"""The cast on the stage at its fixed instant, and somebody's client."""

from hashlib import sha256

import pytest
from django.test import Client

from records import clock
from records.firm.models import Person, Visit
from tests import cast


class Clock:
    """The clock of a test: it stands until it is set."""

    def __init__(self, at):
        self.at = at

    def __call__(self):
        return self.at


@pytest.fixture
def hands(monkeypatch):
    """The clock's hands; every page reads this clock."""
    made = Clock(cast.AT)
    monkeypatch.setattr(clock, "now", made)
    return made


@pytest.fixture
def scene(db, hands):
    """The clear permit with all that it rests on."""
    return cast.everything()


@pytest.fixture
def as_person(scene):
    """A client with this person signed in."""

    def client_of(person, **extra):
        client = Client(**extra)
        client.force_login(Person.objects.get(person=person))
        # as if they had been here a while: the first page of a session also notes where it is
        digest = sha256(client.session.session_key.encode()).hexdigest()
        Visit.objects.create(person_id=person, digest=digest, began_at=clock.now(), seen_at=clock.now())
        return client

    return client_of
