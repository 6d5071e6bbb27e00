"""A permit that was issued and not accepted is withdrawn: by its issuer, or where they are gone by somebody else; whoever is gone is named on its page."""

import pytest
from django.db import IntegrityError, transaction

from locates.life.actions import Wanting
from locates.life.facts import lives
from locates.life.stead import absent
from locates.permits.actions import NotTheirs, OutOfTurn, preview, sign
from locates.permits.models import Permit, SignOff
from records.firm.models import Person
from records.ledger.facts import signature_faults, walked
from records.letters.models import Letter
from tests import cast
from tests.life.conftest import LATER, done
from tests.life.stead import YESTERDAY, leaves, loses, slipped_in, state, supervises
from training.models import Award

# withdrawn before it was accepted


@pytest.fixture
def issued(db):
    cast.everything()
    sign("PD-1", "P-ISS", "issue", cast.AT, preview("PD-1", cast.AT).seen)


def test_its_issuer_withdraws_it_with_a_reason_and_its_receiver_is_told(issued):
    made = done("withdraw", "P-ISS", why="the trench is not wanted any more")
    assert (state(), made.why) == ("cancelled", "the trench is not wanted any more")
    letter = Letter.objects.get()
    assert letter.person_id == "P-REC" and "Why: the trench is not wanted any more" in letter.text
    assert (list(signature_faults()), walked().broken) == ([], None)


def test_withdrawn_it_is_never_accepted(issued):
    done("withdraw", "P-ISS")
    with pytest.raises(OutOfTurn):
        sign("PD-1", "P-REC", "accept", LATER, preview("PD-1", LATER).seen)


def test_the_database_takes_no_signature_once_it_is_withdrawn(issued):
    signed = SignOff.objects.values().get()
    done("withdraw", "P-ISS")
    with pytest.raises(IntegrityError, match="signed no more"), transaction.atomic():
        SignOff.objects.create(**signed | {"id": None, "meaning": "accept", "person_id": "P-REC"})


@pytest.mark.parametrize(("person", "told", "refusal"), [("P-REC", {}, NotTheirs), ("P-SAF", {}, NotTheirs), ("P-ISS", {"why": " "}, Wanting)])
def test_nobody_else_withdraws_it_and_not_without_a_reason(issued, person, told, refusal):
    with pytest.raises(refusal):
        done("withdraw", person, **told)
    assert state() == "issued"


def test_nothing_else_comes_before_it_is_accepted_and_no_withdrawal_after(issued):
    with pytest.raises(OutOfTurn):
        done("hand_back", "P-REC")
    sign("PD-1", "P-REC", "accept", LATER, preview("PD-1", LATER).seen)
    with pytest.raises(OutOfTurn):
        done("withdraw", "P-ISS")


def test_one_that_nobody_issued_is_not_withdrawn(db):
    cast.everything()
    with pytest.raises(OutOfTurn):
        done("withdraw", "P-ISS")


def test_for_an_issuer_who_is_gone_somebody_else_withdraws_it_and_its_receiver_is_told(issued):
    leaves("P-ISS")
    made = done("withdraw_for", "P-SAF", why="its issuer has left")
    assert (state(), made.printed_name) == ("cancelled", "Hana Petros")
    letter = Letter.objects.get()
    assert letter.person_id == "P-REC" and "Hana Petros withdrew permit PD-1" in letter.text
    assert (list(signature_faults()), walked().broken) == ([], None)


def test_so_does_a_supervisor_of_the_site_who_may_issue_permits(issued):
    loses("A-ISS")
    supervises("P-CR1", "C-ISS")
    assert done("withdraw_for", "P-CR1").person_id == "P-CR1"


@pytest.mark.parametrize("person", ["P-ISS", "P-REC", "P-SAF", "P-CR1"])
def test_nobody_withdraws_for_an_issuer_who_is_there(issued, person):
    supervises("P-CR1", "C-ISS")
    with pytest.raises(NotTheirs):
        done("withdraw_for", person)


@pytest.mark.parametrize("person", ["P-ISS", "P-REC"])
def test_neither_signatory_withdraws_for_an_issuer_who_is_gone(issued, person):
    leaves("P-ISS")
    with pytest.raises(NotTheirs):
        done("withdraw_for", person)
    with pytest.raises(IntegrityError, match="by its own act alone"):
        slipped_in("withdraw_for", person)
    assert slipped_in("withdraw_for", "P-SAF") == 1


def test_the_database_takes_no_withdrawal_for_an_issuer_who_is_there(issued):
    with pytest.raises(IntegrityError, match="by its own act alone"):
        slipped_in("withdraw_for", "P-SAF")


@pytest.mark.usefixtures("signed")
def test_the_database_takes_no_withdrawal_of_what_was_accepted():
    with pytest.raises(IntegrityError, match="by its own act alone"):
        slipped_in("withdraw", "P-ISS")


# whoever is gone is named where the permit waits for them


def waits(permit="PD-1"):
    row = Permit.objects.get(pk=permit)
    return [(thing, who) for thing, who in absent(row, lives([row], LATER)[permit], LATER).items()]


def test_nobody_is_missed_who_is_there(issued):
    assert waits() == []
    sign("PD-1", "P-REC", "accept", LATER, preview("PD-1", LATER).seen)
    Award.objects.filter(pk__in=("A-ISS", "A-REC")).update(expires_on=YESTERDAY)
    assert waits() == []
    done("suspend", "P-REC")
    assert waits() == []


def test_who_is_gone_is_missed_where_the_permit_waits_for_them(issued):
    leaves("P-ISS")
    leaves("P-REC")
    issuer, receiver = ("issue_permit", "Ines Harrow"), ("receive_permit", "Marek Tane")
    assert waits() == [issuer]
    Person.objects.update(left_on=None)
    sign("PD-1", "P-REC", "accept", LATER, preview("PD-1", LATER).seen)
    leaves("P-ISS")
    loses("A-REC")
    assert waits() == [receiver]
    done("stop", "P-CR1")
    assert waits() == [issuer, receiver]
    done("hand_back_for", "P-SAF")
    assert waits() == [issuer]
