"""The first person of all, passwords by mail, and where one is signed in."""

import re
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pytest
from django.conf import settings as django_settings
from django.contrib.auth.hashers import PBKDF2PasswordHasher, get_hasher
from django.contrib.auth.tokens import default_token_generator
from django.core import mail
from django.db import connection
from django.test import Client
from django.urls import reverse

from records import settings as real
from records.firm.actions import AlreadySetUp, set_up
from records.firm.models import Person
from records.ledger.models import Entry
from tests import cast

PASSWORD = "wet clay under old boards"
FIRST = {"person": "P-ONE", "name": "Nils Ottery", "email": "nils@marrowfen.example", "new_password1": PASSWORD, "new_password2": PASSWORD}


def test_a_new_password_is_kept_as_argon2(settings):
    settings.PASSWORD_HASHERS = real.PASSWORD_HASHERS
    assert get_hasher().encode(PASSWORD, "some-salt-some-salt").startswith("argon2$argon2id$")
    assert PBKDF2PasswordHasher.algorithm not in real.PASSWORD_HASHERS[0].lower()
    assert django_settings.AUTH_PASSWORD_VALIDATORS


def test_an_empty_database_leads_to_its_set_up(db, client):
    assert client.get(reverse("sign_in")).url == reverse("set_up")


def test_the_first_person_is_signed_in_and_in_the_history(db, client):
    client.post(reverse("set_up"), FIRST)
    assert client.get(reverse("account")).status_code == 200
    assert Person.objects.get().roles
    assert "the first person of all" in Entry.objects.get().body and PASSWORD not in Entry.objects.get().body


def test_set_up_is_gone_once_somebody_is_on_record(scene, client):
    assert client.get(reverse("set_up")).status_code == 404
    assert client.post(reverse("set_up"), FIRST).status_code == 404


def test_in_production_the_first_person_needs_the_servers_code(db, client, settings):
    settings.PRODUCTION, settings.SET_UP_CODE = True, ""
    assert client.get(reverse("set_up")).status_code == 403
    settings.SET_UP_CODE = "lantern-code"
    client.post(reverse("set_up"), FIRST | {"code": "guess"})
    assert not Person.objects.exists()
    client.post(reverse("set_up"), FIRST | {"code": "lantern-code"})
    assert Person.objects.exists()


def test_guessing_the_servers_code_is_slow(db, client, settings):
    settings.PRODUCTION, settings.SET_UP_CODE = True, "lantern-code"
    assert [client.post(reverse("set_up"), FIRST | {"code": "guess"}).status_code for _ in range(6)] == [200] * 5 + [429]


@pytest.mark.django_db(transaction=True)
def test_of_two_at_once_one_is_first():
    def first(key):
        try:
            return set_up(Person(person=key, name=key, roles=("safety_manager",)), PASSWORD, cast.AT).pk
        except AlreadySetUp:
            return None
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as pool:
        made = [one for one in pool.map(first, ("P-A", "P-B", "P-C", "P-D")) if one]
    assert len(made) == Person.objects.count() == Entry.objects.count() == 1


@pytest.fixture
def someone(scene):
    return Person.objects.create(person="P-NEW", name="Nils Ottery", email="nils@marrowfen.example", recorded_at=cast.RECORDED)


def address_in_mail(client, person):
    client.post(reverse("forgotten"), {"person": person.pk})
    return re.search(r"http://testserver(/\S+)", mail.outbox[-1].body).group(1)


def choose(client, address):
    opened = client.get(address, follow=True)
    return client.post(opened.request["PATH_INFO"], {"new_password1": PASSWORD, "new_password2": PASSWORD})


def knows(person):
    return Person.objects.get(pk=person.pk).check_password(PASSWORD)


def test_an_address_by_mail_gives_a_password_once(client, someone):
    address = address_in_mail(client, someone)
    choose(client, address)
    assert knows(someone)
    assert Client().get(address).status_code == 404


def test_the_token_does_not_stay_in_the_address(client, someone):
    address = address_in_mail(client, someone)
    assert address.rstrip("/").rsplit("/", 1)[-1] not in client.get(address).url


def test_the_history_tells_of_the_mail_but_not_the_token(client, someone):
    token = address_in_mail(client, someone).rstrip("/").rsplit("/", 1)[-1]
    bodies = "".join(Entry.objects.values_list("body", flat=True))
    assert "person.password_asked" in bodies and token not in bodies


def test_an_address_is_no_good_for_somebody_else(client, someone):
    other = Person.objects.create(person="P-OTHER", name="Ida Fenn", recorded_at=cast.RECORDED)
    assert client.get(address_in_mail(client, someone).replace(someone.pk, other.pk)).status_code == 404


def test_an_address_is_no_good_after_three_days(client, someone, monkeypatch):
    address = address_in_mail(client, someone)
    later = datetime.now(UTC).replace(tzinfo=None) + timedelta(days=4)
    monkeypatch.setattr(default_token_generator, "_now", lambda: later)
    assert client.get(address).status_code == 404


def test_who_leaves_meanwhile_gets_no_password_and_no_mail(client, someone):
    address = address_in_mail(client, someone)
    Person.objects.filter(pk=someone.pk).update(left_on=(cast.AT - timedelta(days=3)).date())
    assert client.get(address).status_code == 404
    client.post(reverse("forgotten"), {"person": someone.pk})
    assert len(mail.outbox) == 1


def test_the_answer_is_the_same_for_nobody(client, someone):
    real_one, made_up = (client.post(reverse("forgotten"), {"person": key}, follow=True) for key in (someone.pk, "P-MADE-UP"))
    assert [str(one) for one in real_one.context["messages"]] == [str(one) for one in made_up.context["messages"]]
    assert len(mail.outbox) == 1


def test_an_idle_session_is_over(someone, as_person, hands, settings):
    client = as_person(someone.pk)
    hands.at += timedelta(seconds=settings.IDLE_SECONDS + 1)
    assert client.get(reverse("account")).status_code == 302


def test_one_of_ones_own_sessions_can_be_ended_and_all_others(someone, as_person):
    here, there, elsewhere = (as_person(someone.pk) for _ in range(3))
    listed = here.get(reverse("account")).context["visits"]
    assert [mine for *_, mine in listed].count(True) == 1 and len(listed) == 3
    here.post(reverse("end_visit", args=[0]))
    assert [one.get(reverse("account")).status_code for one in (here, there, elsewhere)] == [200, 302, 302]


def test_nobody_ends_a_session_of_somebody_else(someone, as_person):
    theirs, mine = as_person(someone.pk), as_person(Person.objects.exclude(pk=someone.pk).first().pk)
    visit = someone.visits.get()
    assert mine.post(reverse("end_visit", args=[visit.pk])).status_code == 404
    assert theirs.get(reverse("account")).status_code == 200
