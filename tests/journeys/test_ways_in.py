"""Addresses at which a password is chosen: whoever hands one over could open it first, and the person sees that and can disown it."""

import re
from datetime import timedelta

import pytest
from django.contrib.auth.tokens import PasswordResetTokenGenerator
from django.test import Client
from django.urls import reverse

from records.firm.actions import NoLongerGood, choose_password
from records.firm.models import Person, WayIn
from records.firm.ways import new_token
from records.ledger.models import Entry
from tests import cast

OWN = {"invite-password": cast.PASSWORD}
PAGE, NEW, NEWER = "/people/P-CR1/access/", "wet clay under old boards", "seven planks by the north gate"
ADDRESS = re.compile(r"http://testserver(/password/[^<\s]+)")
MADE = "made by Hana Petros (handed over)"


def handed_over(office):
    return ADDRESS.search(office.post(PAGE, OWN).content.decode())[1]


def opens(address, password=NEW):
    """Somebody opens the address, and chooses a password there unless they only look."""
    client = Client()
    page = client.get(address, follow=True)
    if page.status_code == 200 and password:
        client.post(page.redirect_chain[-1][0], {"new_password1": password, "new_password2": password})
    return page


def comes_in(password=NEW, person="P-CR1"):
    client = Client()
    page = client.post(reverse("sign_in"), {"username": person, "password": password}, follow=True)
    return client, page.content.decode()


@pytest.fixture
def office(as_person):
    return as_person("P-SAF")


def test_at_the_first_sign_in_and_on_the_account_it_says_who_made_the_address_and_when_it_was_opened(office, hands):
    address = handed_over(office)
    hands.at += timedelta(hours=2)
    opens(address)
    client, first = comes_in()
    assert MADE in first and "opened 4 Mar 2027 10:30" in first
    account = client.get(reverse("account")).content.decode()
    assert "Made by Hana Petros" in account and "4 Mar 2027 08:30" in account and "Opened 4 Mar 2027 10:30" in account


def test_it_is_said_at_each_sign_in_for_a_fortnight_so_that_whoever_came_first_cannot_have_it_go_unsaid(office, hands):
    opens(handed_over(office))
    assert [MADE in comes_in()[1] for _ in range(2)] == [True, True]
    hands.at += timedelta(days=14, hours=1)
    assert MADE not in comes_in()[1]


def test_an_address_that_was_only_looked_at_is_told_too(office):
    opens(handed_over(office), password="")
    told = comes_in(cast.PASSWORD)[1]
    assert MADE in told and "a password was chosen there" not in told


def test_whoever_comes_second_to_an_address_reads_that_somebody_was_first(office):
    address = handed_over(office)
    opens(address)
    late = opens(address).content.decode()
    assert "It was opened 4 Mar 2027 08:30" in late and "tell your firm at once" in late
    assert "It was opened" not in Client().get("/password/P-CR1/made-up/").content.decode()


def test_the_history_tells_once_that_it_was_opened(office):
    address = handed_over(office)
    for _ in range(3):
        opens(address, password="")
    assert [one.act for one in Entry.objects.order_by("seq")] == ["person.invited", "person.way_in.opened"]


@pytest.fixture
def taken(office, mailoutbox):
    """Somebody of the office opened the address first and is in; the person has got in by another one."""
    Person.objects.filter(pk="P-SAF").update(email="hana@field.example")
    opens(handed_over(office), password="")
    intruder, _ = comes_in(cast.PASSWORD)
    person, _ = comes_in(cast.PASSWORD)
    return intruder, person, WayIn.objects.get()


def disowned(client, way, old=cast.PASSWORD):
    return client.post(reverse("not_me", args=[way.pk]), {"old_password": old, "new_password1": NEWER, "new_password2": NEWER}, follow=True)


def test_this_was_not_me_ends_every_other_session_and_needs_a_new_password(taken):
    intruder, person, way = taken
    disowned(person, way)
    assert (intruder.get("/account/").status_code, person.get("/account/").status_code) == (302, 200)
    assert Person.objects.get(pk="P-CR1").check_password(NEWER)
    assert Entry.objects.filter(act="person.way_in.disowned", actor_id="P-CR1").count() == 1


def test_this_was_not_me_puts_every_address_made_before_out_of_use(taken, office):
    another = handed_over(office)
    disowned(taken[1], taken[2])
    assert opens(another).status_code == 404


def test_this_was_not_me_tells_the_safety_managers_by_mail_and_when_they_sign_in(taken, mailoutbox):
    disowned(taken[1], taken[2])
    (told,) = [one for one in mailoutbox if one.to == ["hana@field.example"]]
    assert "Jo Brandt says that it was not them" in told.body and "handed over" in told.body
    assert "Jo Brandt says that it was not them" in comes_in(cast.PASSWORD, "P-SAF")[1]
    assert "Jo Brandt says" not in comes_in(cast.PASSWORD, "P-ISS")[1]


def test_without_the_password_nothing_is_disowned(taken):
    intruder, person, way = taken
    disowned(person, way, old="four dry spades")
    assert WayIn.objects.get().disowned_at is None and intruder.get("/account/").status_code == 200


def test_nobody_disowns_for_another_nor_twice_nor_what_was_not_opened(taken, as_person, office):
    assert disowned(as_person("P-ISS"), taken[2]).status_code == 404
    handed_over(office)
    unopened = WayIn.objects.get(opened_at=None)
    assert disowned(taken[1], unopened).status_code == 404
    disowned(taken[1], taken[2])
    assert disowned(taken[1], taken[2], NEWER).status_code == 404


def test_of_two_who_choose_at_one_address_at_the_same_time_one_does(office):
    person = Person.objects.get(pk="P-CR1")
    token = new_token(person)
    choose_password(person, token, NEW, cast.AT)
    with pytest.raises(NoLongerGood):
        choose_password(person, token, NEWER, cast.AT)
    assert Person.objects.get(pk="P-CR1").check_password(NEW)
    assert not PasswordResetTokenGenerator().check_token(Person.objects.get(pk="P-CR1"), token)
