"""A piece of field work that a phone sends, perhaps twice: done once, answered alike, or refused in words."""

import json
from datetime import timedelta
from uuid import uuid4

import pytest
from django.contrib.messages.storage.fallback import FallbackStorage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import RequestFactory

from locates.fieldwork.models import Received
from locates.fieldwork.receiving import clash, faulty, received
from records.firm.actions import actor
from records.firm.models import Person
from records.ledger.actions import errand
from records.ledger.models import Entry
from tests import cast
from tests.journeys.test_at_the_same_instant import at_once

ADDRESS, NEXT = "/field/0b0e3a52-1d41-4b0e-9d0a-5f4f5f0c7a11/sweep/", "/field/0b0e3a52-1d41-4b0e-9d0a-5f4f5f0c7a11/#sweep"
KEY = str(uuid4())
FIELDS = {"technique": "induction", "area": "100 100\n110 100\n110 102"}


def sent(person="P-OPE", key=KEY, fields=FIELDS, address=ADDRESS, at=cast.AT, waited=timedelta(), **headers):
    """What a phone sends."""
    told = {"Accept": "application/json", "Idempotency-Key": key, "Recorded-By": person, "Sent-At": at.isoformat(), "Recorded-At": (at - waited).isoformat()}
    request = RequestFactory(headers=told | headers).post(address, fields)
    request.user = Person.objects.get(pk=person)
    return request


def writing(seen=None):
    """A view's part: it writes an entry and keeps the answer."""

    def do(receipt):
        with errand(actor(receipt.person), receipt.at) as underway:
            underway.write("sweep.created", "sweep", "SW-1", "SW-1", receipt.happened)
            receipt.beside("The swept ground is recorded.", NEXT)(underway)
        if seen is not None:
            seen.append(receipt)
        return receipt.done(None)

    return do


def told(answer):
    return answer.status_code, json.loads(answer.content)


DONE = (200, {"done": True, "says": "The swept ground is recorded.", "next": NEXT})


@pytest.fixture
def people(db):
    cast.people()


def test_a_piece_is_done_and_answered(people):
    assert told(received(sent(), cast.AT, writing())) == DONE
    assert (Entry.objects.count(), Received.objects.count()) == (1, 1)


def test_sent_again_it_is_answered_alike_and_done_no_second_time(people):
    received(sent(), cast.AT, writing())
    later = cast.AT + timedelta(hours=3)
    assert told(received(sent(at=later, waited=timedelta(hours=3)), later, writing())) == DONE
    assert Entry.objects.count() == 1


@pytest.mark.parametrize(
    "other",
    [
        {"fields": FIELDS | {"technique": "passive_power"}},
        {"fields": FIELDS | {"area": ["1 1", "2 2"]}},
        {"fields": FIELDS | {"picture": SimpleUploadedFile("a.jpg", b"another")}},
        {"address": ADDRESS.replace("sweep", "trace")},
    ],
    ids=["a field", "several values", "a file", "an address"],
)
def test_the_same_key_upon_something_else_is_refused(people, other):
    received(sent(fields=FIELDS | {"picture": SimpleUploadedFile("a.jpg", b"one")} if "picture" in other.get("fields", ()) else FIELDS), cast.AT, writing())
    status, says = told(received(sent(**other), cast.AT, writing()))
    assert status == 422 and "received once already" in says["faults"][""][0]
    assert Entry.objects.count() == 1


def test_a_file_counts_by_what_is_in_it_and_can_still_be_read(people):
    def reading(receipt):
        assert request.FILES["picture"].read() == b"one"
        return writing()(receipt)

    for _ in range(2):
        request = sent(fields=FIELDS | {"picture": SimpleUploadedFile("a.jpg", b"one")})
        assert told(received(request, cast.AT, reading)) == DONE
    assert Entry.objects.count() == 1


def test_keys_are_each_persons_own(people):
    assert told(received(sent("P-OPE"), cast.AT, writing())) == told(received(sent("P-FAR"), cast.AT, writing())) == DONE
    assert Entry.objects.count() == 2


@pytest.mark.parametrize("refusal", [faulty({"area": ["three corners were expected"]}), clash("Somebody was quicker.", {"Marks": "paint"}, {"Marks": "pegs"})])
def test_what_is_refused_is_not_kept_and_may_come_again_mended(people, refusal):
    assert received(sent(), cast.AT, lambda _: refusal).status_code == refusal.status_code
    assert told(received(sent(fields=FIELDS | {"anyway": "1"}), cast.AT, writing())) == DONE


def test_what_was_undone_was_not_answered_either(people):
    def breaking(receipt):
        with errand(actor(receipt.person), receipt.at) as underway:
            receipt.beside("Done.", NEXT)(underway)
            raise OSError("the disk is full")

    with pytest.raises(OSError, match="full"):
        received(sent(), cast.AT, breaking)
    assert not Received.objects.exists()


def test_a_view_that_forgets_to_keep_its_answer_is_a_fault_of_ours(people):
    with pytest.raises(RuntimeError, match="nothing was kept"):
        received(sent(), cast.AT, lambda receipt: receipt.done(None))


def test_the_work_was_done_when_the_phone_recorded_it(people):
    seen = []
    received(sent(at=cast.AT + timedelta(minutes=20), waited=timedelta(hours=2)), cast.AT, writing(seen))
    assert (seen[0].happened, seen[0].at) == (cast.AT - timedelta(hours=2), cast.AT)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"waited": timedelta(days=8)}, "8 days ago"),
        ({"waited": -timedelta(minutes=9)}, "set back by 9 minutes"),
        ({"key": "one"}, "a UUID was expected"),
        ({"Recorded-At": "x"}, "is not an instant"),
    ],
)
def test_what_cannot_be_taken_is_refused_in_words(people, wrong, says):
    status, answer = told(received(sent(**wrong), cast.AT, writing()))
    assert status == 422 and says in answer["faults"][""][0]
    assert not Entry.objects.exists()


def test_what_was_done_long_ago_is_still_answered_alike(people):
    received(sent(), cast.AT, writing())
    assert told(received(sent(waited=timedelta(days=9)), cast.AT + timedelta(days=9), writing())) == DONE


def test_nobody_sends_what_another_recorded(people):
    status, says = told(received(sent("P-FAR", **{"Recorded-By": "P-OPE"}), cast.AT, writing()))
    assert (status, "Somebody else is signed in" in says["says"]) == (401, True)


def test_answers_go_after_a_month(people):
    received(sent(), cast.AT, writing())
    for days, left in ((31, 2), (32, 2)):
        later = cast.AT + timedelta(days=days)
        received(sent(key=str(uuid4()), at=later), later, writing())
        assert Received.objects.count() == left


def test_a_plain_form_is_done_with_a_message_and_the_next_page(people):
    request = RequestFactory().post(ADDRESS, FIELDS)
    request.user, request.session = Person.objects.get(pk="P-OPE"), {}
    request._messages = FallbackStorage(request)

    def do(receipt):
        with errand(actor(receipt.person), receipt.at) as underway:
            underway.write("sweep.created", "sweep", "SW-1", "SW-1", receipt.happened)
            receipt.beside("The swept ground is recorded.", NEXT)(underway)
        return receipt.done(request)

    answered = received(request, cast.AT, do)
    assert (answered.status_code, answered.headers["Location"], [str(one) for one in request._messages]) == (302, NEXT, ["The swept ground is recorded."])
    assert not Received.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_of_many_sent_at_the_same_instant_one_does_the_work():
    cast.people()
    requests = [sent() for _ in range(6)]
    answers = at_once(*[lambda one=one: told(received(one, cast.AT, writing())) for one in requests])
    assert [one.raised for one in answers] == [None] * 6
    assert [one.result for one in answers] == [DONE] * 6
    assert (Entry.objects.count(), Received.objects.count()) == (1, 1)


@pytest.mark.django_db(transaction=True)
def test_a_twin_that_finds_its_own_work_in_its_way_is_answered_as_done():
    cast.people()

    def taken_by_its_twin(receipt):
        received(sent(), cast.AT, writing())
        return faulty({"sweep": ["SW-1 is taken"]})

    assert told(received(sent(), cast.AT, taken_by_its_twin)) == DONE


def test_a_script_without_a_session_is_told_so_and_sent_nowhere(client, people):
    answered = client.post("/mine/calendar/", headers={"Accept": "application/json"})
    assert (answered.status_code, "Nobody is signed in" in answered.json()["says"]) == (401, True)
    assert client.get("/mine/", headers={"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}).status_code == 302
    assert client.get("/mine/", headers={"Accept": "*/*"}).status_code == 302
