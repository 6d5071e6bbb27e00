"""Somebody who means ill at the sign page, and what the signature is then worth."""

import json

import pytest

from locates.permits import actions
from locates.permits.models import SignOff
from locates.permits.paper import permit_pdf
from locates.permits.sheet import digest
from records.firm.models import Person
from records.ledger.models import Entry
from tests import cast

pytestmark = [pytest.mark.everywhere, pytest.mark.usefixtures("scene")]
PAGE = "/permits/PD-1/sign/"
NEW = "wet clay under old boards"


def seen(permit="PD-1"):
    return actions.preview(permit, cast.AT).seen


def signed_by_both():
    for person, meaning in (("P-ISS", "issue"), ("P-REC", "accept")):
        actions.sign("PD-1", person, meaning, cast.AT, seen())
    return list(SignOff.objects.order_by("pk"))


def test_a_form_that_leaves_out_what_was_shown_signs_nothing(as_person):
    answered = as_person("P-ISS").post(PAGE, {"password": cast.PASSWORD})
    assert (answered.status_code, SignOff.objects.count()) == (409, 0)


def test_what_was_shown_of_another_permit_or_of_the_step_before_signs_nothing(as_person):
    cast.permit("PD-2", work="A second trench")
    before, receiver = seen(), as_person("P-REC")
    assert as_person("P-ISS").post(PAGE, {"password": cast.PASSWORD, "seen": seen("PD-2")}).status_code == 409
    actions.sign("PD-1", "P-ISS", "issue", cast.AT, before)
    assert receiver.post(PAGE, {"password": cast.PASSWORD, "seen": before}).status_code == 409
    assert [one.meaning for one in SignOff.objects.all()] == ["issue"]


def test_fields_slipped_into_the_form_change_neither_who_signs_nor_what_it_means(as_person):
    slipped = {"meaning": "accept", "person": "P-REC", "username": "P-REC", "at": "2020-01-01", "declaration": "", "printed_name": "Marek Tane"}
    as_person("P-ISS").post(PAGE, {"password": cast.PASSWORD, "seen": seen(), **slipped})
    made = SignOff.objects.get()
    assert (made.meaning, made.person_id, made.printed_name, made.signed_at) == ("issue", "P-ISS", "Ines Harrow", cast.AT)
    assert "I have stood on this ground" in made.declaration


def test_a_session_from_before_the_password_changed_signs_nothing_with_either(as_person):
    stolen, shown = as_person("P-ISS"), seen()
    as_person("P-ISS").post("/password/", {"old_password": cast.PASSWORD, "new_password1": NEW, "new_password2": NEW})
    answers = [stolen.post(PAGE, {"password": one, "seen": shown}) for one in (cast.PASSWORD, NEW)]
    assert [one.headers["Location"] for one in answers] == [f"/sign-in/?next={PAGE}"] * 2
    assert not SignOff.objects.exists()


def test_a_session_of_someone_who_left_signs_nothing(as_person, hands):
    stays, shown = as_person("P-ISS"), seen()
    Person.objects.filter(person="P-ISS").update(left_on="2027-03-01")
    assert stays.post(PAGE, {"password": cast.PASSWORD, "seen": shown}).status_code == 302
    assert not SignOff.objects.exists()


def test_a_name_that_changes_between_the_signatures_leaves_the_first_as_it_was_printed():
    actions.sign("PD-1", "P-ISS", "issue", cast.AT, seen())
    Person.objects.filter(person="P-ISS").update(name="Ines Tallow")
    actions.sign("PD-1", "P-REC", "accept", cast.AT, seen())
    accepted = json.loads(SignOff.objects.get(meaning="accept").sheet)
    assert [one["name"] for one in accepted["signatures"]] == ["Ines Harrow", "Marek Tane"]
    assert SignOff.objects.get(meaning="issue").printed_name == "Ines Harrow"
    assert accepted["people"]["issuer"]["name"] == "Ines Tallow"


def test_the_digest_is_of_the_stored_sheet_which_says_what_the_verdict_said():
    for one in signed_by_both():
        sheet, verdict = json.loads(one.sheet), json.loads(one.verdict)
        assert digest(sheet) == one.digest
        assert (verdict["blocks"], verdict["clear"], sheet["blocks"]) == ([], True, [])
        assert [(each["code"], each["says"]) for each in sheet["cautions"]] == [(each["code"], each["says"]) for each in verdict["cautions"]]
        assert (sheet["good_until"], sheet["permit"]) == (verdict["good_until"], "PD-1")


def test_the_paper_of_a_signature_prints_the_stored_sheet_and_nothing_else(as_person):
    made = signed_by_both()
    Person.objects.update(name="Somebody Else")
    reader = as_person("P-SAF")
    printed = [reader.get(f"/permits/PD-1/signed/{one.meaning}/paper.pdf").content for one in made]
    assert printed == [permit_pdf(json.loads(one.sheet)) for one in made]
    assert reader.get("/permits/PD-1/paper.pdf").content == printed[-1]


@pytest.mark.parametrize("person", ["P-REC", "P-CR1", "P-OPE", "P-SAF", "P-FAR"])
def test_tries_to_sign_for_another_leave_neither_signature_nor_refusal_of_the_gate(as_person, person):
    as_person(person).post(PAGE, {"password": cast.PASSWORD, "seen": seen()})
    assert (SignOff.objects.count(), Entry.objects.count()) == (0, 0)
