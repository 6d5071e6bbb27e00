"""A second factor: set up, asked for at the door and for a signature, used once."""

import re
from datetime import timedelta
from threading import Barrier, Thread

import pyotp
import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from locates.permits.actions import NeedsSecondFactor, WrongCode, preview, sign
from locates.permits.models import Permit, SignOff
from records.firm import factor
from records.firm.actions import confirm_factor
from records.firm.models import Person, RecoveryCode, Rule, SecondFactor, UsedStep
from records.ledger.chain import parse
from records.ledger.models import Entry
from tests import cast
from training.models import Award

PASSWORD = "wet clay under old boards"


def code_of(made, at):
    return pyotp.TOTP(factor.secret_of(made.salt)).at(at)


@pytest.fixture
def issuer(scene):
    person = Person.objects.get(pk="P-ISS")
    person.set_password(PASSWORD)
    person.save()
    return person


@pytest.fixture
def armed(issuer):
    return confirm_factor(issuer, factor.new_salt(), cast.AT)


def half_in(person):
    client = Client()
    assert client.post(reverse("sign_in"), {"username": person.pk, "password": PASSWORD}).url == reverse("code")
    return client


def signed_in(client):
    return client.get(reverse("account")).status_code == 200


def test_nothing_is_on_record_before_a_first_good_code(issuer, as_person):
    client = as_person(issuer.pk)
    client.get(reverse("second_factor"))
    client.post(reverse("second_factor"), {"password": PASSWORD, "code": "000000"})
    assert not SecondFactor.objects.exists()


def test_setting_it_up_shows_ten_recovery_codes_and_keeps_none_of_them(issuer, as_person):
    client = as_person(issuer.pk)
    client.get(reverse("second_factor"))
    code = pyotp.TOTP(factor.secret_of(client.session["second_factor"])).at(cast.AT)
    page = client.post(reverse("second_factor"), {"password": PASSWORD, "code": code})
    codes = page.context["codes"]
    assert len(set(codes)) == RecoveryCode.objects.count() == 10
    assert not any(code in str(row) for code in codes for row in [*RecoveryCode.objects.values(), *Entry.objects.values()])


def test_the_password_alone_opens_nothing(issuer, armed):
    assert not signed_in(half_in(issuer))


def test_a_code_lets_in_once(issuer, armed):
    code = code_of(armed[0], cast.AT)
    first, second = half_in(issuer), half_in(issuer)
    first.post(reverse("code"), {"code": code})
    second.post(reverse("code"), {"code": code})
    assert (signed_in(first), signed_in(second)) == (True, False)


def test_a_recovery_code_lets_in_once(issuer, armed):
    first, second = half_in(issuer), half_in(issuer)
    first.post(reverse("code"), {"code": armed[1][0]})
    second.post(reverse("code"), {"code": armed[1][0]})
    assert (signed_in(first), signed_in(second)) == (True, False)


def test_guessing_codes_is_slow(issuer, armed):
    client = half_in(issuer)
    assert [client.post(reverse("code"), {"code": "000000"}).status_code for _ in range(6)][-1] == 429


def test_a_password_given_too_long_ago_is_forgotten(issuer, armed, hands):
    client = half_in(issuer)
    hands.at += timedelta(minutes=6)
    assert client.post(reverse("code"), {"code": code_of(armed[0], hands.at)}).url == reverse("sign_in")


@pytest.fixture
def required(issuer):
    rule_set = Permit.objects.get().site.rule_set
    Rule.objects.create(rule_set=rule_set, effective_from=cast.AT.date(), key="second_factor_to_sign", value="yes", recorded_at=cast.RECORDED)


def sign_with(client, **typed):
    permit = Permit.objects.get().pk
    return client.post(reverse("sign", args=[permit]), {"password": PASSWORD, "seen": preview(permit, cast.AT).seen, **typed})


def test_where_it_is_required_nobody_signs_without_one(issuer, required, as_person):
    assert sign_with(as_person(issuer.pk)).url == reverse("second_factor")
    assert not SignOff.objects.exists()


def test_the_act_itself_refuses_without_one(issuer, required):
    permit = Permit.objects.get().pk
    with pytest.raises(NeedsSecondFactor):
        sign(permit, issuer.pk, "issue", cast.AT, preview(permit, cast.AT).seen)
    assert not SignOff.objects.exists()


def test_where_it_is_required_a_wrong_code_signs_nothing(issuer, required, armed, as_person):
    assert re.search("That code is not good", sign_with(as_person(issuer.pk), code="000000").content.decode())
    assert not SignOff.objects.exists()


def test_where_it_is_required_a_code_signs_and_the_history_tells_so(issuer, required, armed, as_person):
    sign_with(as_person(issuer.pk), code=code_of(armed[0], cast.AT))
    assert SignOff.objects.get().person == issuer
    assert "second factor" in parse(Entry.objects.order_by("pk").last().body)["why"]


def test_where_it_is_not_required_the_password_signs(issuer, as_person):
    sign_with(as_person(issuer.pk))
    assert SignOff.objects.exists()


def test_a_code_given_for_a_signature_that_is_refused_stays_good_for_the_next(issuer, required, armed, as_person):
    client, permit, code = as_person(issuer.pk), Permit.objects.get().pk, code_of(armed[0], cast.AT)
    assert client.post(reverse("sign", args=[permit]), {"password": PASSWORD, "seen": "of old", "code": code}).status_code == 409
    Award.objects.filter(pk="A-ISS").update(withdrawn_on=cast.AT.date(), withdrawn_because="exam void")
    assert sign_with(client, code=code).status_code == 409
    assert not UsedStep.objects.exists() and not SignOff.objects.exists()
    Award.objects.filter(pk="A-ISS").update(withdrawn_on=None, withdrawn_because="")
    sign_with(client, code=code)
    assert SignOff.objects.get().person == issuer and UsedStep.objects.count() == 1


def test_a_recovery_code_given_for_a_signature_that_is_refused_stays_good_and_one_that_signed_does_not(issuer, required, armed, as_person):
    client, permit, code = as_person(issuer.pk), Permit.objects.get().pk, armed[1][0]
    client.post(reverse("sign", args=[permit]), {"password": PASSWORD, "seen": "of old", "code": code})
    assert not RecoveryCode.objects.exclude(used_at=None).exists()
    sign_with(client, code=code)
    assert SignOff.objects.exists()
    cast.permit("PD-2")
    page = client.post(reverse("sign", args=["PD-2"]), {"password": PASSWORD, "seen": preview("PD-2", cast.AT).seen, "code": code})
    assert "That code is not good" in page.content.decode() and SignOff.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_of_two_signatures_at_once_with_one_code_one_is_made(issuer, required, armed):
    later = {"valid_from": cast.AT + timedelta(hours=30), "valid_to": cast.AT + timedelta(hours=31)}  # neither changes what the other was shown
    cast.permit("PD-2", **later)
    code, gate, told = code_of(armed[0], cast.AT), Barrier(2), []

    def signs(permit, seen):
        gate.wait()
        try:
            told.append(sign(permit, issuer.pk, "issue", cast.AT, seen, code=code))
        except WrongCode as wrong:
            told.append(wrong)
        finally:
            connection.close()

    threads = [Thread(target=signs, args=(permit, preview(permit, cast.AT).seen)) for permit in ("PD-1", "PD-2")]
    for one in threads:
        one.start()
    for one in threads:
        one.join(30)
    assert sorted(type(one).__name__ for one in told) == ["SignOff", "WrongCode"]
    assert SignOff.objects.count() == UsedStep.objects.count() == 1


@pytest.mark.parametrize("password", ["", "four dry spades"])
def test_without_the_password_none_is_set_up(issuer, as_person, password):
    client = as_person(issuer.pk)
    client.get(reverse("second_factor"))
    code = pyotp.TOTP(factor.secret_of(client.session["second_factor"])).at(cast.AT)
    client.post(reverse("second_factor"), {"password": password, "code": code})
    assert factor.of(issuer) is None


def test_guessing_the_password_where_one_is_set_up_is_slow(issuer, as_person):
    client = as_person(issuer.pk)
    assert [client.post(reverse("second_factor"), {"password": "x", "code": "000000"}).status_code for _ in range(6)] == [200] * 5 + [429]


def good(made, code):
    return RecoveryCode.objects.filter(digest=factor.recovery_digest(made, code), used_at=None).exists()


@pytest.mark.parametrize("typed", [{}, {"password": PASSWORD}, {"password": "four dry spades", "code": "good"}, {"password": PASSWORD, "code": "000000"}])
def test_new_recovery_codes_want_the_password_and_a_code(issuer, armed, as_person, typed):
    typed = {name: code_of(armed[0], cast.AT) if value == "good" else value for name, value in typed.items()}
    page = as_person(issuer.pk).post(reverse("recovery"), typed)
    assert "codes" not in page.context and good(armed[0], armed[1][0])


def test_new_recovery_codes_put_the_old_ones_out_of_use(issuer, armed, as_person):
    codes = as_person(issuer.pk).post(reverse("recovery"), {"password": PASSWORD, "code": code_of(armed[0], cast.AT)}).context["codes"]
    assert [good(armed[0], one) for one in codes] == [True] * 10 and not any(good(armed[0], one) for one in armed[1])
    assert Entry.objects.order_by("pk").last().act == "person.recovery_codes.renewed"


@pytest.mark.parametrize("typed", [{}, {"code": "000000"}])
def test_the_password_alone_does_not_take_it_away(issuer, armed, as_person, typed):
    as_person(issuer.pk).post(reverse("second_factor_off"), {"password": PASSWORD, **typed})
    assert factor.of(issuer) is not None


def test_password_and_code_take_it_away(issuer, armed, as_person):
    as_person(issuer.pk).post(reverse("second_factor_off"), {"password": PASSWORD, "code": code_of(armed[0], cast.AT)})
    assert factor.of(issuer) is None
