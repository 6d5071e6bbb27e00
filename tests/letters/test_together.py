"""Two who send at the same instant, each on a connection of their own."""

import time

import pytest

from records.letters.actions import deliver
from records.letters.models import Letter
from tests import cast
from tests.journeys.test_at_the_same_instant import at_once
from tests.letters.conftest import write

pytestmark = pytest.mark.django_db(transaction=True)


def test_of_two_who_send_at_once_each_letter_is_sent_by_one(staff, monkeypatch):
    for n in range(12):
        write(f"k{n:02}")
    went = []

    class Slow:
        def __init__(self, subject, text, *_, **__):
            self.text = text

        def send(self):
            time.sleep(0.01)
            went.append(self.text)

    monkeypatch.setattr("records.letters.sending.EmailMessage", Slow)
    both = at_once(lambda: deliver(cast.AT), lambda: deliver(cast.AT))
    assert ([one.raised for one in both], len(went)) == ([None, None], 12)
    assert list(Letter.objects.values_list("tries", flat=True).distinct()) == [1]
