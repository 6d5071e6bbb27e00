"""Issuing and accepting a permit on its page."""

from datetime import date, timedelta

import pytest

from locates.permits.actions import NotTheirs, OutOfTurn
from locates.permits.models import Permit, SignOff
from records.ledger.models import Entry
from tests import cast
from training.models import Award

pytestmark = [pytest.mark.everywhere, pytest.mark.usefixtures("scene")]
PAGE = "/permits/PD-1/sign/"


def seen(client):
    return client.get(PAGE).context["seen"]


def post(client, digest=None, password=cast.PASSWORD, **more):
    return client.post(PAGE, {"password": password, "seen": digest or seen(client)}, **more)


def made():
    return [(one.meaning, one.person_id) for one in SignOff.objects.order_by("pk")]


def withdraw():
    Award.objects.filter(award="A-CR1").update(withdrawn_on=date(2027, 3, 4), withdrawn_because="exam void")


def test_the_issuer_signs_then_the_receiver_and_both_stand_on_the_permit(as_person):
    issued = post(as_person("P-ISS"), follow=True)
    assert "Signed: Ines Harrow issued permit PD-1." in issued.content.decode()
    accepted = post(as_person("P-REC"), follow=True)
    assert "Signed: Marek Tane accepted permit PD-1." in accepted.content.decode()
    assert made() == [("issue", "P-ISS"), ("accept", "P-REC")]
    assert list(Entry.objects.values_list("act", "actor_id")) == [("permit.sign", "P-ISS"), ("permit.sign", "P-REC")]


@pytest.mark.parametrize(
    ("person", "words"),
    [("P-ISS", ["I have stood on this ground today and seen the marks"]), ("P-REC", ["the marks on the ground", "plans and the hand-dig limits"])],
)
def test_what_is_declared_stands_in_words_above_the_button_and_is_kept(as_person, person, words):
    if person == "P-REC":
        post(as_person("P-ISS"))
    said = as_person(person).get(PAGE).content.decode()
    assert all(0 < said.index(one) < said.index("I declare this") for one in words)
    post(as_person(person))
    assert all(one in SignOff.objects.get(person=person).declaration for one in words)


def test_all_that_is_signed_stands_on_the_page_before_the_button(as_person):
    said = as_person("P-ISS").get(PAGE).content.decode()
    shown = said[: said.index("I declare this")]
    words = ("<dd>Trench for a water pipe across the yard", "hand, to 1.2 m", "4 Mar 2027 07:30 to 5 Mar 2027 14:30", "Jo Brandt, Sana Wren", "3.40 m²", "<svg")
    assert [one for one in words if one not in shown] == []


@pytest.mark.parametrize("password", ["four dry spades", "", f" {cast.PASSWORD}"])
def test_without_the_right_password_nothing_is_signed(as_person, password):
    refused = post(as_person("P-ISS"), password=password)
    assert (refused.status_code, made(), Entry.objects.count()) == (200, [], 0)
    assert "invalid-feedback" in refused.content.decode()


def test_guessing_the_password_there_is_slow(as_person):
    issuer = as_person("P-ISS")
    digest = seen(issuer)
    for _ in range(5):
        post(issuer, digest, "four dry spades")
    assert (post(issuer, digest).status_code, made()) == (429, [])


def test_nobody_at_the_door_keeps_the_issuer_from_signing(as_person, client):
    issuer = as_person("P-ISS")
    digest = seen(issuer)
    for _ in range(6):
        client.post("/sign-in/", {"username": "P-ISS", "password": "four dry spades"})
    post(issuer, digest)
    assert made() == [("issue", "P-ISS")]


@pytest.mark.parametrize("person", ["P-REC", "P-CR1", "P-OPE", "P-SAF"])
def test_nobody_signs_for_another(as_person, person):
    digest = seen(as_person("P-ISS"))
    answered = post(as_person(person), digest, follow=True)
    assert (made(), "It is not your turn to sign this permit." in answered.content.decode()) == ([], True)


def test_a_stranger_finds_nothing_to_sign(as_person):
    assert (post(as_person("P-FAR"), "0" * 64).status_code, made()) == (404, [])


def test_the_receiver_does_not_accept_before_the_issuer_has_issued(as_person):
    receiver, digest = as_person("P-REC"), seen(as_person("P-ISS"))
    assert receiver.get(PAGE).status_code == 302
    assert (post(receiver, digest).status_code, made()) == (302, [])


def test_sent_twice_it_is_signed_once(as_person):
    issuer = as_person("P-ISS")
    digest = seen(issuer)
    post(issuer, digest)
    again = post(issuer, digest, follow=True)
    assert (made(), "was not signed again" in again.content.decode()) == ([("issue", "P-ISS")], True)


@pytest.mark.parametrize(("refusal", "told"), [(OutOfTurn, "another signature was made meanwhile"), (NotTheirs, "names somebody else for this")])
def test_whoever_was_overtaken_between_looking_and_signing_is_told_so(as_person, monkeypatch, refusal, told):
    def overtaken(*_, **__):
        raise refusal("PD-1")

    monkeypatch.setattr("locates.permits.views.sign", overtaken)
    answered = post(as_person("P-ISS"), follow=True)
    assert (answered.redirect_chain[-1][0], told in answered.content.decode()) == ("/permits/PD-1/", True)


def test_a_block_refuses_the_signature_whatever_was_shown_before(as_person):
    issuer = as_person("P-ISS")
    digest = seen(issuer)
    withdraw()
    refused = post(issuer, digest)
    said = refused.content.decode()
    assert (refused.status_code, made(), "Nothing was signed: the gate refuses" in said) == (409, [], True)
    assert "crew.withdrawn" in [one.code for one in refused.context["blocks"]] and "I declare this" not in said
    assert list(Entry.objects.values_list("act", flat=True)) == ["permit.sign.refused"]


def test_a_blocked_permit_offers_no_place_to_sign(as_person):
    withdraw()
    said = as_person("P-ISS").get(PAGE).content.decode()
    assert ("Not to dig" in said, 'name="password"' in said) == (True, False)


def test_what_has_changed_since_it_was_shown_is_shown_again_before_it_is_signed(as_person):
    issuer = as_person("P-ISS")
    digest = seen(issuer)
    Permit.objects.update(work="Trench for two pipes")
    refused = post(issuer, digest)
    assert (refused.status_code, made(), "what you were shown has changed since" in refused.content.decode()) == (409, [], True)
    assert "Trench for two pipes" in refused.content.decode()
    assert post(issuer, refused.context["seen"]).status_code == 302
    assert made() == [("issue", "P-ISS")]


@pytest.mark.parametrize("digest", ["0" * 64, "x", "\0"])
def test_a_forged_digest_signs_nothing(as_person, digest):
    assert (post(as_person("P-ISS"), digest).status_code, made()) == (409, [])


def test_time_alone_changes_nothing_that_was_shown(as_person, hands):
    issuer = as_person("P-ISS")
    digest = seen(issuer)
    hands.at += timedelta(minutes=20)
    assert post(issuer, digest).status_code == 302


def test_a_signed_permit_is_signed_no_more(as_person):
    post(as_person("P-ISS"))
    post(as_person("P-REC"))
    answered = as_person("P-REC").get(PAGE, follow=True)
    assert "You have accepted this permit." in answered.content.decode()


@pytest.mark.parametrize("method", ["put", "delete", "patch"])
def test_no_other_method_signs(as_person, method):
    assert (getattr(as_person("P-ISS"), method)(PAGE).status_code, made()) == (405, [])


def test_a_form_from_elsewhere_signs_nothing(as_person):
    client = as_person("P-ISS", enforce_csrf_checks=True)
    assert (post(client).status_code, made()) == (403, [])
