"""People with and without an address, and a mail server that does as it is told."""

from datetime import timedelta
from smtplib import SMTPConnectError, SMTPDataError, SMTPRecipientsRefused, SMTPSenderRefused, SMTPServerDisconnected

import pytest
from django.core.mail.backends import locmem

from records.firm.models import Person
from records.ledger.actions import errand
from records.ledger.chain import Actor
from records.letters.actions import post
from records.letters.models import Letter
from tests import cast
from tests.journeys.conftest import as_person, hands, scene

__all__ = ["as_person", "hands", "scene"]
BY = Actor("", "a test")
FAULTS = {
    "refused for now": SMTPRecipientsRefused({"x": (450, b"greylisted")}),
    "refused": SMTPRecipientsRefused({"x": (550, b"nobody of that name")}),
    "sender refused": SMTPSenderRefused(553, b"not from here", "y"),
    "broke off": SMTPServerDisconnected("gone"),
    "not after the data": SMTPDataError(451, b"try later"),
    "timed out": TimeoutError(),
}


class Server(locmem.EmailBackend):
    """The tests' own mail server: `down` refuses the connection, a fault comes as the mail is handed over."""

    down = False
    fault = None

    def open(self):
        if self.down:
            raise SMTPConnectError(421, b"closed")

    def send_messages(self, messages):
        if self.fault is not None:
            raise self.fault
        return super().send_messages(messages)


@pytest.fixture
def server(settings, monkeypatch):
    settings.EMAIL_BACKEND = "tests.letters.conftest.Server"
    monkeypatch.setattr(Server, "down", False)
    monkeypatch.setattr(Server, "fault", None)
    return Server


@pytest.fixture
def staff(db, mailoutbox):
    """The cast's people, of whom some can be written to."""
    cast.people()
    addressed()


@pytest.fixture
def staff_of(scene, mailoutbox):
    """The same of the people on the stage."""
    addressed()


def addressed():
    for key in ("P-ISS", "P-SAF", "P-OPE"):
        Person.objects.filter(pk=key).update(email=f"{key}@field.example")


def write(key="k", to="P-ISS", at=cast.AT, subject="Permit PD-1 was stopped"):
    """Post one letter in an errand of its own; was it new?"""
    with errand(BY, at, may_be_empty=True) as underway:
        return post(underway, key, Person.objects.get(pk=to), subject, "Nobody digs by it.", at)


def letter(key="k"):
    return Letter.objects.get(key=key)


def after(**time):
    return cast.AT + timedelta(**time)
