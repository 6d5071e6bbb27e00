"""Where a permit's receiver or issuer is gone, somebody else hands it back or cancels it in their place."""

from datetime import date, timedelta

import pytest
from django.db import IntegrityError

from locates.permits.actions import NotTheirs
from records.ledger.facts import signature_faults, walked
from tests import cast
from tests.life.conftest import LATER, done
from tests.life.stead import YESTERDAY, leaves, loses, slipped_in, state, supervises
from tests.life.watching import END
from training.models import Award

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
