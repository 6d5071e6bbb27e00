"""A person's own password."""

import pytest
from django.test import Client

from records.firm.models import Person
from records.ledger.chain import parse
from records.ledger.models import Entry
from tests import cast

pytestmark = pytest.mark.usefixtures("scene")
PAGE, NEW = "/password/", "wet clay under old boards"
GIVEN = {"old_password": cast.PASSWORD, "new_password1": NEW, "new_password2": NEW}


def holds(password):
    return Person.objects.get(person="P-ISS").check_password(password)


def test_one_changes_ones_own_password_and_stays_in(as_person):
    client = as_person("P-ISS")
    assert client.post(PAGE, GIVEN).headers["Location"] == "/account/"
    assert (holds(NEW), client.get("/").status_code) == (True, 200)


def test_everywhere_else_one_is_signed_out(as_person):
    elsewhere = as_person("P-ISS")
    as_person("P-ISS").post(PAGE, GIVEN)
    assert elsewhere.get("/").status_code == 302


def test_the_history_tells_that_it_was_done_by_whom_and_nothing_of_the_password(as_person):
    as_person("P-ISS").post(PAGE, GIVEN)
    said = parse(Entry.objects.get().body)
    assert (said["act"], said["by"], said["id"], said["recorded"]) == (
        "person.set_password",
        {"id": "P-ISS", "name": "Ines Harrow"},
        "P-ISS",
        "2027-03-03T19:30:00+00:00",
    )
    assert (said["before"], said["after"], Person.objects.get(person="P-ISS").password in Entry.objects.get().body) == (None, None, False)


@pytest.mark.parametrize(
    ("other", "told"),
    [
        ({"old_password": "four dry spades"}, "That is not your password."),
        ({"new_password2": "wet clay under old beams"}, "The two new passwords differ."),
        ({"new_password1": "short", "new_password2": "short"}, "too short"),
        ({"new_password1": "InesHarrow2027", "new_password2": "InesHarrow2027"}, "too similar"),
        ({"new_password1": ""}, "This field is required."),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_changes(as_person, other, told):
    answered = as_person("P-ISS").post(PAGE, GIVEN | other)
    assert (answered.status_code, told in answered.content.decode()) == (200, True)
    assert (holds(cast.PASSWORD), Entry.objects.exists()) == (True, False)


def test_guessing_the_old_password_is_slow(as_person):
    client = as_person("P-ISS")
    answers = [client.post(PAGE, GIVEN | {"old_password": "four dry spades"}).status_code for _ in range(5)]
    assert answers == [200] * 5
    assert (client.post(PAGE, GIVEN).status_code, holds(cast.PASSWORD)) == (429, True)


def test_it_is_asked_for_by_a_page_and_changed_by_a_post(as_person):
    client = as_person("P-ISS")
    assert (client.get(PAGE).status_code, client.put(PAGE).status_code) == (200, 405)


def test_a_form_from_elsewhere_changes_nothing(as_person):
    client = as_person("P-ISS", enforce_csrf_checks=True)
    answered = client.post(PAGE, GIVEN)
    assert (answered.status_code, "Send it again" in answered.content.decode(), holds(cast.PASSWORD)) == (403, True, True)


def test_a_form_from_elsewhere_does_not_sign_anybody_in():
    assert Client(enforce_csrf_checks=True).post("/sign-in/", {"username": "P-ISS", "password": cast.PASSWORD}).status_code == 403
