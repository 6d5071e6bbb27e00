"""A permit that was issued and not accepted is withdrawn; and where its receiver or issuer is gone, somebody else hands it back or cancels it."""

from datetime import date, timedelta

import pytest
from django.db import IntegrityError, transaction

from locates.life.actions import Wanting
from locates.life.facts import lives
from locates.life.models import Step
from locates.life.stead import absent
from locates.permits.actions import NotTheirs, OutOfTurn, preview, sign
from locates.permits.models import Permit, SignOff
from records.firm.models import Person, Posting
from records.ledger.facts import signature_faults, walked
from records.letters.models import Letter
from tests import cast
from tests.life.conftest import LATER, done
from tests.life.watching import END
from training.models import Award

YESTERDAY = date(2027, 3, 3)


def state(permit="PD-1"):
    return lives(Permit.objects.all(), LATER)[permit].state


def leaves(person):
    Person.objects.filter(pk=person).update(left_on=YESTERDAY)


def loses(award):
    Award.objects.filter(pk=award).update(withdrawn_on=YESTERDAY, withdrawn_because="unsafe work seen")


def supervises(person, course):
    """Somebody who is posted to the site as a supervisor, and holds an award of the course."""
    Person.objects.filter(pk=person).update(roles=("supervisor",))
    Posting.objects.create(posting=f"N-{person}", person_id=person, site_id="S-1", role="supervisor", begins_on=date(2027, 1, 4), recorded_at=cast.RECORDED)
    if course:
        Award.objects.create(award=f"A9-{person}", person_id=person, course_id=course, awarded_on=date(2026, 6, 1), recorded_at=cast.RECORDED)


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


# in the place of its receiver


GONE = {"left": lambda: leaves("P-REC"), "withdrawn": lambda: loses("A-REC")}


@pytest.mark.usefixtures("signed")
@pytest.mark.parametrize("how", GONE)
@pytest.mark.parametrize("at", [LATER, END + timedelta(hours=1)])
def test_for_a_receiver_who_is_gone_the_safety_manager_hands_back(how, at):
    GONE[how]()
    made = done("hand_back_for", "P-SAF", at)
    assert (made.printed_name, bool(made.why), bool(made.left)) == ("Hana Petros", True, True)
    assert (list(signature_faults()), walked().broken) == ([], None)


@pytest.mark.usefixtures("signed")
def test_so_does_a_supervisor_of_the_site_who_may_receive_permits():
    leaves("P-REC")
    supervises("P-CR1", "C-REC")
    assert done("hand_back_for", "P-CR1").person_id == "P-CR1"


REFUSED = {
    "a supervisor who may not receive permits": lambda: supervises("P-CR1", ""),
    "a supervisor whose award was taken": lambda: (supervises("P-CR1", "C-REC"), loses("A9-P-CR1")),
    "a supervisor who has left": lambda: (supervises("P-CR1", "C-REC"), leaves("P-CR1")),
    "who may receive permits and supervises no site": lambda: Award.objects.create(
        award="A9", person_id="P-CR1", course_id="C-REC", awarded_on=date(2026, 6, 1), recorded_at=cast.RECORDED
    ),
}


@pytest.mark.usefixtures("signed")
@pytest.mark.parametrize("how", REFUSED)
def test_nobody_hands_back_for_another_who_is_not_fit(how):
    leaves("P-REC")
    REFUSED[how]()
    with pytest.raises(NotTheirs):
        done("hand_back_for", "P-CR1")
    assert state() == "accepted"


@pytest.mark.usefixtures("signed")
@pytest.mark.parametrize("person", ["P-ISS", "P-REC", "P-SAF"])
def test_nobody_hands_back_for_a_receiver_who_is_there(person):
    with pytest.raises(NotTheirs):
        done("hand_back_for", person)


@pytest.mark.usefixtures("signed")
def test_an_award_that_merely_lapsed_keeps_no_receiver_from_handing_back():
    Award.objects.filter(pk="A-REC").update(expires_on=YESTERDAY)
    with pytest.raises(NotTheirs):
        done("hand_back_for", "P-SAF")
    assert done("hand_back", "P-REC").person_id == "P-REC"


@pytest.mark.usefixtures("signed")
def test_whoever_issued_it_never_hands_it_back():
    leaves("P-REC")
    Award.objects.create(award="A9", person_id="P-ISS", course_id="C-REC", awarded_on=date(2026, 6, 1), recorded_at=cast.RECORDED)
    with pytest.raises(NotTheirs):
        done("hand_back_for", "P-ISS")


@pytest.mark.usefixtures("signed")
def test_it_is_asked_of_whoever_took_over_whether_they_are_gone():
    done("hand_over", "P-REC", to="P-FAR")
    done("take_over", "P-FAR")
    leaves("P-REC")
    with pytest.raises(NotTheirs):
        done("hand_back_for", "P-SAF")
    leaves("P-FAR")
    assert done("hand_back_for", "P-SAF").act == "hand_back_for"


# in the place of its issuer


@pytest.mark.usefixtures("signed")
def test_for_an_issuer_who_is_gone_somebody_else_cancels():
    done("hand_back", "P-REC")
    loses("A-ISS")
    supervises("P-CR1", "C-ISS")
    assert done("cancel_for", "P-CR1").why
    assert state() == "cancelled"
    assert (list(signature_faults()), walked().broken) == ([], None)


@pytest.mark.usefixtures("signed")
@pytest.mark.parametrize("person", ["P-ISS", "P-REC", "P-SAF"])
def test_nobody_cancels_for_an_issuer_who_is_there(person):
    done("hand_back", "P-REC")
    with pytest.raises(NotTheirs):
        done("cancel_for", person)


@pytest.mark.usefixtures("signed")
def test_handed_back_and_cancelled_remain_two_people_when_both_are_gone():
    leaves("P-REC")
    leaves("P-ISS")
    done("hand_back_for", "P-SAF")
    with pytest.raises(NotTheirs):
        done("cancel_for", "P-SAF")
    supervises("P-CR1", "C-ISS")
    assert done("cancel_for", "P-CR1").act == "cancel_for"


@pytest.mark.usefixtures("signed")
def test_a_receiver_who_may_issue_too_does_not_cancel_what_somebody_handed_back_for_them():
    loses("A-REC")
    leaves("P-ISS")
    done("hand_back_for", "P-SAF")
    Award.objects.create(award="A9", person_id="P-REC", course_id="C-ISS", awarded_on=date(2026, 6, 1), recorded_at=cast.RECORDED)
    with pytest.raises(NotTheirs):
        done("cancel_for", "P-REC")


# what the database keeps of it


def slipped_in(act, person, number=1):
    """A step written past the actions."""
    told = {"printed_name": "somebody", "done_at": LATER, "recorded_at": LATER, "declaration": "so", "why": "gone", "left": "filled in"}
    with transaction.atomic():
        return Step.objects.create(permit_id="PD-1", number=number, act=act, person_id=person, **told).number


@pytest.mark.usefixtures("signed")
@pytest.mark.parametrize("person", ["P-ISS", "P-REC", "P-CR2", None])
def test_the_database_takes_no_hand_back_by_who_cannot_stand_in(person):
    leaves("P-REC")
    with pytest.raises(IntegrityError):
        slipped_in("hand_back_for", person)
    assert slipped_in("hand_back_for", "P-SAF") == 1


@pytest.mark.usefixtures("signed")
def test_the_database_takes_no_hand_back_for_a_receiver_who_is_there():
    with pytest.raises(IntegrityError, match="by its own act alone"):
        slipped_in("hand_back_for", "P-SAF")


@pytest.mark.usefixtures("signed")
def test_the_database_takes_no_cancellation_by_whoever_handed_back_in_another_s_place():
    leaves("P-REC")
    leaves("P-ISS")
    done("hand_back_for", "P-SAF")
    with pytest.raises(IntegrityError, match="by its own act alone"):
        slipped_in("cancel_for", "P-SAF", 2)
    supervises("P-CR1", "C-ISS")
    assert slipped_in("cancel_for", "P-CR1", 2) == 2


@pytest.mark.usefixtures("signed")
def test_the_database_takes_no_withdrawal_of_what_was_accepted():
    with pytest.raises(IntegrityError, match="by its own act alone"):
        slipped_in("withdraw", "P-ISS")
