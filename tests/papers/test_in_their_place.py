"""The pages of a permit that was withdrawn before it was accepted, and of one that somebody ends in another's place."""

from datetime import date

import pytest

from locates.life.models import Step
from locates.papers.models import Paper
from records.firm.models import Person
from tests import cast
from tests.life.conftest import LATER, done
from tests.locates.printing import words
from tests.papers.conftest import printed, signed
from tests.papers.test_looking_up import address
from tests.papers.test_running_out import text

pytestmark = pytest.mark.django_db
WITHDRAW = "/permits/PD-1/steps/withdraw/"


@pytest.fixture
def issued(scene, hands):
    signed(1)
    made = printed(person="P-ISS")
    hands.at = LATER
    return made


def test_its_issuer_finds_the_way_on_its_page_and_nobody_else_does(issued, as_person):
    assert WITHDRAW in as_person("P-ISS").get("/permits/PD-1/").content.decode()
    assert WITHDRAW not in as_person("P-REC").get("/permits/PD-1/").content.decode()
    assert as_person("P-REC").get(WITHDRAW).status_code == 302


def test_its_issuer_withdraws_it_by_the_form(issued, as_person):
    client = as_person("P-ISS")
    page = client.get(WITHDRAW)
    assert "I withdraw this permit before anybody has accepted it." in page.content.decode()
    told = {"seen": page.context["seen"], "why": "The trench is not wanted any more.", "password": cast.PASSWORD}
    assert "Done: Ines Harrow withdrew it" in client.post(WITHDRAW, told, follow=True).content.decode()
    assert Step.objects.get().act == "withdraw"


def test_withdrawn_every_page_and_paper_says_cancelled_and_nobody_is_asked_to_accept(issued, as_person):
    done("withdraw", "P-ISS")
    assert "Permit PD-1 Cancelled Since 4 Mar 2027 09:30" in text(address(issued))
    page = text("/permits/PD-1/", as_person("P-REC"))
    assert "Cancelled Nobody digs by this permit." in page and "Ines Harrow withdrew it on 4 Mar 2027 09:30" in page
    assert "Next to sign" not in page
    for where in ("/", "/permits/"):
        found = as_person("P-REC").get(where, follow=True).content.decode()
        assert "Accept it" not in found
    assert as_person("P-REC").get("/permits/PD-1/sign/").status_code == 302


def test_withdrawn_it_has_no_paper_to_accept_and_a_copy_says_so(issued, as_person):
    done("withdraw", "P-ISS")
    as_person("P-ISS").post("/permits/PD-1/print/")
    assert Paper.objects.count() == 1
    assert "CANCELLED" in words(as_person("P-ISS").get("/permits/PD-1/paper.pdf").content).upper()


def test_withdrawn_and_blocked_beside_it_a_copy_still_says_cancelled(issued, as_person, hands):
    done("withdraw", "P-ISS")
    hands.at = issued.permit.valid_to
    assert "CANCELLED" in words(as_person("P-ISS").get("/permits/PD-1/paper.pdf").content).upper()


def test_while_everyone_is_there_nobody_is_offered_to_stand_in(scene, as_person):
    signed()
    assert "_for/" not in as_person("P-SAF").get("/permits/PD-1/").content.decode()


def test_where_the_receiver_has_left_the_safety_manager_hands_it_back_by_the_form(scene, hands, as_person):
    signed()
    Person.objects.filter(pk="P-REC").update(left_on=date(2027, 3, 3))
    hands.at = LATER
    client = as_person("P-SAF")
    assert "/permits/PD-1/steps/hand_back_for/" in client.get("/permits/PD-1/").content.decode()
    page = client.get("/permits/PD-1/steps/hand_back_for/")
    told = {"seen": page.context["seen"], "why": "She left on Wednesday.", "left": "Filled in.", "password": cast.PASSWORD}
    found = client.post("/permits/PD-1/steps/hand_back_for/", told, follow=True).content.decode()
    assert "Done: Hana Petros handed it back in the place of its receiver" in found
    assert "steps/cancel" not in found
