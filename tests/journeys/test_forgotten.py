"""A forgotten password: the answer, and the work before it, are the same whoever is named; the mail is sent after it."""

import threading
from datetime import date

import pytest
from django.core import mail
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from records.firm import later
from records.firm.later import after_the_answer
from records.firm.models import Person, WayIn
from records.ledger.models import Entry
from tests import cast

KINDS = ["P-ISS", "P-NOBODY", "P-GONE", "P-MUTE"]


@pytest.fixture
def waiting(scene, monkeypatch):
    """What is left for after the answer, and not done yet."""
    Person.objects.filter(pk="P-ISS").update(email="ines@field.example")
    Person.objects.create(person="P-GONE", name="Ada Moor", email="ada@field.example", left_on=date(2027, 1, 1), recorded_at=cast.RECORDED)
    Person.objects.create(person="P-MUTE", name="Bo Rill", recorded_at=cast.RECORDED)
    kept = []
    monkeypatch.setattr("records.firm.later.after_the_answer", lambda work, *given: kept.append((work, given)))
    return kept


def asked(client, name):
    """The answer, and in which order the database was asked what before it."""
    with CaptureQueriesContext(connection) as captured:
        answer = client.post(reverse("forgotten"), {"person": name})
    return (answer.status_code, answer.url), [one["sql"].split(" WHERE ")[0].split("VALUES")[0] for one in captured]


def test_the_same_work_is_done_before_the_answer_whoever_is_named(client, waiting):
    told = [asked(client, name) for name in KINDS]
    assert [one == told[0] for one in told] == [True] * len(KINDS)
    assert not any("firm_person" in sql for sql in told[0][1])
    assert {(work.__name__, len(given)) for work, given in waiting} == {("write_to_whoever_forgot", 3)} and len(waiting) == len(KINDS)
    assert not mail.outbox and not Entry.objects.exists()


def test_after_it_only_whoever_is_there_and_has_an_address_is_written_to(client, waiting):
    for name in KINDS:
        asked(client, name)
    for work, given in waiting:
        work(*given)
    assert [one.to for one in mail.outbox] == [["ines@field.example"]]
    assert "http://testserver/password/P-ISS/" in mail.outbox[0].body
    assert [one.act for one in Entry.objects.all()] == ["person.password_asked"]
    assert (WayIn.objects.get().person_id, "ines@field.example" in WayIn.objects.get().how) == ("P-ISS", True)


@pytest.mark.django_db(transaction=True)
def test_what_is_done_after_the_answer_is_done_in_another_thread_and_a_fault_there_stops_nothing(monkeypatch, hands, caplog):
    cast.people()
    monkeypatch.setattr(later, "A_WHILE", 0)
    done, seen = threading.Event(), []

    def fails():
        raise RuntimeError("no post today")

    def works(name):
        seen.extend((Person.objects.get(pk=name).name, threading.current_thread() is threading.main_thread()))
        done.set()

    after_the_answer(fails)
    after_the_answer(works, "P-ISS")
    assert done.wait(10) and seen == ["Ines Harrow", False]
    assert "no post today" in caplog.text
