"""The cast on the stage at its fixed instant, and somebody's client."""

from hashlib import sha256

import pytest
from django.test import Client

from records import clock
from records.firm.models import Person, Visit
from tests import cast
from tests.journeys.browsing import page_of
from tests.journeys.phones import KEPT, READY, until

ANSWERS = {401, 403, 409, 422, 500}  # to a piece, which stays on the phone


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


@pytest.fixture
def phone(browser, live_server, scene):
    """Somebody's phone, on which the worker is at work."""
    wrong, opened = [], []

    def phone_of(person="P-OPE", **options):
        made = page_of(browser, live_server, wrong, person, "", **options)
        page = made.__enter__()
        opened.append(made)
        page.goto("/mine/")
        until(page, READY)
        until(page, f"{KEPT}.then((some) => some.length)")
        return page

    yield phone_of
    for one in opened:
        one.__exit__(None, None, None)
    assert [one for one in wrong if one[-1] not in ANSWERS and "ERR_INTERNET_DISCONNECTED" not in str(one)] == []
