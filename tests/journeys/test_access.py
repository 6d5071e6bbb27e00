"""What the office does about somebody's way in: an invitation by mail or handed over, sessions ended, a lost second factor taken away."""

import re

import pytest
from django.test import Client

from records.firm import factor
from records.firm.actions import confirm_factor
from records.firm.models import Person
from records.ledger.models import Entry
from tests import cast

pytestmark = [pytest.mark.everywhere, pytest.mark.usefixtures("scene")]
PAGE = "/people/P-CR1/access/"
OWN = {"invite-password": cast.PASSWORD}
ADDRESS = re.compile(r"https?://\S+/password/P-CR1/[\w-]+/")
NEW = "seven spades in a shed"


def somebody():
    return Person.objects.get(pk="P-CR1")


def chosen(address):
    """Open the address as a stranger and choose a password there."""
    client = Client()
    page = client.get(address, follow=True)
    if page.status_code != 200:
        return page.status_code
    return client.post(page.redirect_chain[-1][0], {"new_password1": NEW, "new_password2": NEW}).status_code


def test_an_invitation_goes_by_mail_and_is_good_once(as_person, mailoutbox):
    Person.objects.filter(pk="P-CR1").update(email="jo@field.example")
    answered = as_person("P-SAF").post(PAGE, OWN | {"mail": "yes"}).content.decode()
    address = ADDRESS.search(mailoutbox[0].body)[0]
    assert (mailoutbox[0].to, "on its way to jo@field.example" in answered, address in answered) == (["jo@field.example"], True, False)
    assert (chosen(address), chosen(address)) == (302, 404)
    assert somebody().check_password(NEW)


def test_an_address_to_hand_over_is_shown_once_and_the_person_hears_of_it(as_person, mailoutbox):
    Person.objects.filter(pk="P-CR1").update(email="jo@field.example")
    client = as_person("P-SAF")
    address = ADDRESS.search(client.post(PAGE, OWN).content.decode())[0]
    assert "Hana Petros had an address made" in mailoutbox[0].body and address not in mailoutbox[0].body
    assert (ADDRESS.search(client.get(PAGE).content.decode()), chosen(address)) == (None, 302)


def test_the_history_tells_of_the_invitation_and_never_the_address(as_person):
    address = ADDRESS.search(as_person("P-SAF").post(PAGE, OWN).content.decode())[0]
    entry = Entry.objects.get()
    assert (entry.act, entry.actor_id, entry.subject_id) == ("person.invited", "P-SAF", "P-CR1")
    assert address.split("/")[-2] not in entry.body


def test_whoever_has_left_is_not_invited(as_person):
    Person.objects.filter(pk="P-CR1").update(left_on=cast.RECORDED.date().replace(month=1))
    assert ADDRESS.search(as_person("P-SAF").post(PAGE, OWN).content.decode()) is None
    assert not Entry.objects.exists()


def test_somebody_is_signed_out_everywhere(as_person):
    theirs, office = as_person("P-CR1"), as_person("P-SAF")
    assert theirs.get("/").status_code == 200
    assert "is signed out of 1 session" in office.post(f"{PAGE}sign-out/", follow=True).content.decode()
    assert (theirs.get("/").status_code, office.get("/").status_code) == (302, 200)


def test_a_lost_second_factor_is_taken_away_with_ones_own_password_and_the_reason(as_person, mailoutbox):
    Person.objects.filter(pk="P-CR1").update(email="jo@field.example")
    confirm_factor(somebody(), factor.new_salt(), cast.AT)
    office, away = as_person("P-SAF"), f"{PAGE}second-factor/"
    for given in ({"password": "four dry spades", "why": "lost"}, {"password": cast.PASSWORD}):
        office.post(away, given)
        assert factor.of(somebody()) is not None
    office.post(away, {"password": cast.PASSWORD, "why": "the phone fell into a trench"})
    assert (factor.of(somebody()), Entry.objects.order_by("seq").last().why) == (None, "the phone fell into a trench")
    assert "second factor of your sign-in was changed" in mailoutbox[0].body


@pytest.mark.parametrize("told", [{}, {"invite-password": "not hers"}])
def test_no_address_is_made_out_of_a_session_that_was_left_open(as_person, told):
    answered = as_person("P-SAF").post(PAGE, told)
    assert answered.status_code == 422 and ADDRESS.search(answered.content.decode()) is None
    assert not Entry.objects.exists()
