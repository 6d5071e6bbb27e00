"""Letters over a real connection to a mail server that answers as RFC 5321 has it.

Sources: RFC 5321, 4.2.1 (a reply that begins with 4: the same may be tried again; with 5: it may not), 4.1.1.4 (only the reply to the end of the data
says that the server has taken the mail over), 3.8 (a connection that is shut before that leaves it open whether it has).
"""

import socket
import threading
from contextlib import contextmanager

import pytest

from records.firm.models import Person
from records.letters.actions import deliver
from records.letters.facts import letters
from tests import cast
from tests.letters.conftest import addressed, write

pytestmark = pytest.mark.django_db
SHUT = ""


class Answering(threading.Thread):
    """A mail server for one mail after another. `answers`: what it says to a verb, or to the end of the data, other than that all is well; "": it hangs up."""

    def __init__(self, answers):
        super().__init__(daemon=True)
        self.answers, self.taken = answers, []
        self.socket = socket.create_server(("127.0.0.1", 0))
        self.port = self.socket.getsockname()[1]

    def run(self):
        while True:
            try:
                connection, _ = self.socket.accept()
            except OSError:
                return
            with connection, connection.makefile("rwb") as wire:
                self._served(wire)

    def _served(self, wire):
        if not self._said(wire, "HELLO", "220 yard.example"):
            return
        for line in wire:
            verb = line.split()[0].decode().upper()
            if not self._said(wire, verb, {"DATA": "354 go on", "QUIT": "221 bye"}.get(verb, "250 well")) or verb == "QUIT":
                return
            if verb == "DATA" and "DATA" not in self.answers:
                mail = b"".join(iter(wire.readline, b".\r\n"))
                if not self._said(wire, "END", "250 taken over"):
                    return
                self.taken += [mail] if "END" not in self.answers else []

    def _said(self, wire, verb, well):
        answer = self.answers.get(verb, well)
        if answer == SHUT:
            return False
        wire.write(f"{answer}\r\n".encode())
        wire.flush()
        return True


@contextmanager
def served(settings, **answers):
    server = Answering(answers)
    server.start()
    settings.EMAIL_BACKEND, settings.EMAIL_HOST, settings.EMAIL_PORT = "django.core.mail.backends.smtp.EmailBackend", "127.0.0.1", server.port
    settings.EMAIL_TIMEOUT = 2
    yield server
    server.socket.shutdown(socket.SHUT_RDWR)
    server.socket.close()


@pytest.fixture
def written(db):
    cast.people()
    addressed()
    write()


def state():
    return letters(Person.objects.get(pk="P-SAF"), cast.AT).get().state


def test_a_mail_that_is_taken_over_is_sent(written, settings):
    with served(settings) as server:
        assert (deliver(cast.AT), state()) == ({"sent": 1}, "sent")
    assert b"To: P-ISS@field.example" in server.taken[0] and b"Nobody digs by it." in server.taken[0]


@pytest.mark.parametrize(
    ("answers", "stands"),
    [
        ({"HELLO": "421 no room"}, "waiting"),
        ({"HELLO": SHUT}, "waiting"),
        ({"EHLO": SHUT}, "waiting"),
        ({"MAIL": "451 not now"}, "waiting"),
        ({"MAIL": "553 not from here"}, "not_sent"),
        ({"RCPT": "450 not now"}, "waiting"),
        ({"RCPT": "550 nobody of that name"}, "not_sent"),
        ({"RCPT": SHUT}, "perhaps"),
        ({"DATA": "451 not now"}, "perhaps"),
        ({"DATA": SHUT}, "perhaps"),
        ({"END": "452 no room"}, "perhaps"),
        ({"END": SHUT}, "perhaps"),
    ],
)
def test_only_where_nothing_can_have_gone_is_it_tried_again(written, settings, answers, stands):
    with served(settings, **answers) as server:
        assert (deliver(cast.AT), state(), server.taken) == ({stands: 1}, stands, [])


def test_where_nobody_listens_it_waits(written, settings):
    with served(settings) as server:
        pass
    assert (deliver(cast.AT), state(), server.taken) == ({"waiting": 1}, "waiting", [])


def test_a_server_that_hangs_up_after_it_has_taken_the_mail_over_has_it(written, settings):
    with served(settings, QUIT=SHUT) as server:
        assert (deliver(cast.AT), state(), len(server.taken)) == ({"sent": 1}, "sent", 1)
