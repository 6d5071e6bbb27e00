"""What merely ran out since the last signature: the permit goes on to its end, every page and paper says so, and nothing more is signed upon it."""

import re
from datetime import date, timedelta
from html import unescape

import pytest
from django.test import Client

from locates.instruments.models import Calibration
from locates.life.facts import lives
from locates.papers.models import Paper
from locates.permits.actions import Refused
from locates.permits.models import Permit
from records.files.store import place
from tests import cast
from tests.life.conftest import done
from tests.locates.printing import words
from tests.papers.conftest import printed, signed
from tests.papers.test_looking_up import address
from tests.papers.test_printing import withdraw
from training.models import Award

pytestmark = pytest.mark.django_db
NEXT_DAY = cast.AT + timedelta(hours=24)  # after the last good day of what runs out, and six hours before the permit's end
TOLD = "Since it was signed, the authorisation of the locate's operator has run out; the locate stands, and this permit goes on to its end"


def text(where, client=None):
    """The words of the page, with single spaces."""
    main = (client or Client()).get(where).content.decode().split("<main")[1].split("</main>")[0]
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", main))).strip()


@pytest.fixture
def ran_out(scene, hands):
    """A permit signed by both, of which the operator's award ran out at midnight."""
    signed()
    made = printed()
    Award.objects.filter(pk="A-OPE").update(expires_on=date(2027, 3, 4))
    hands.at = NEXT_DAY
    return made


def test_at_its_address_the_permit_holds_and_what_ran_out_is_said_without_a_name(ran_out):
    found = text(address(ran_out))
    assert "Holds now Good until 5 Mar 2027 14:30" in found
    assert TOLD in found and "Hale" not in found
    assert "This paper is the latest" in found


def test_before_it_has_run_out_nothing_is_said_of_it(ran_out, hands):
    hands.at = NEXT_DAY - timedelta(hours=9)
    assert "run out" not in text(address(ran_out))


def test_beside_what_undoes_it_nothing_is_said_of_what_ran_out(ran_out):
    withdraw()
    found = text(address(ran_out))
    assert "Not to dig Since 1 Mar 2027" in found
    assert "run out" not in found


def test_an_award_that_had_run_out_when_it_was_signed_undoes(ran_out):
    Award.objects.filter(pk="A-OPE").update(expires_on=date(2027, 3, 3))
    assert "Not to dig Since 4 Mar 2027" in text(address(ran_out))


def test_the_paper_is_not_replaced_because_something_ran_out_and_one_printed_first_then_says_it(ran_out):
    assert printed(NEXT_DAY) == ran_out
    cast.permit("PD-2")
    signed(permit="PD-2")
    said = words(place(printed(NEXT_DAY, permit="PD-2").sha256).read_bytes())
    assert TOLD in " ".join(said.split())
    assert "NOT TO DIG" not in said
    assert Paper.objects.count() == 2


def test_the_permit_s_page_says_that_it_goes_on_and_what_is_to_be_mended(ran_out, as_person):
    found = text("/permits/PD-1/", as_person("P-REC"))
    assert "In force No look-over yet today: nobody digs before it. It goes on to its end, 5 Mar 2027 14:30 UTC+13:00, in 6 hours." in found
    assert "the next signature is blocked until that is mended" in found and "Olu Hale's authorisation" in found
    assert "Stop work" not in found


def test_the_list_and_the_first_page_say_so_too(ran_out, as_person):
    for where in ("/permits/", "/"):
        found = text(where, as_person("P-REC"))
        assert "In force" in found and "Not to dig" not in found
        assert "Goes on to its end, in 6 hours. The next signature is blocked: Olu Hale's authorisation" in found


def test_the_safety_manager_sees_it_among_those_at_risk_but_not_as_blocked(ran_out, as_person):
    shown = as_person("P-SAF").get("/").context["exposure"]
    assert (shown["early"], shown["blocked"], [one.when for one in shown["risky"]]) == (
        1,
        0,
        ["It goes on to its end, in 6 hours; nothing more is signed upon it."],
    )


def test_a_copy_to_read_does_not_say_that_there_must_be_no_digging(ran_out, as_person):
    assert "NOT TO DIG" not in words(as_person("P-REC").get("/permits/PD-1/paper.pdf").content)


@pytest.mark.parametrize(("act", "person", "told"), [("extend", "P-ISS", {"until": NEXT_DAY + timedelta(hours=8)})])
def test_nothing_more_is_signed_upon_it(ran_out, act, person, told):
    with pytest.raises(Refused) as refused:
        done(act, person, NEXT_DAY, **told)
    assert {one.code for one in refused.value.verdict.blocks} == {"operator.lapsed"}


def test_suspended_it_is_not_resumed_upon_it(ran_out):
    done("suspend", "P-REC", NEXT_DAY)
    with pytest.raises(Refused):
        done("resume", "P-ISS", NEXT_DAY)
    assert "Suspended Since 5 Mar 2027" in text(address(ran_out))


def test_what_is_signed_last_counts_a_step_upon_a_verdict_as_well_as_the_signatures(ran_out):
    Award.objects.filter(pk="A-OPE").update(expires_on=None)
    assert lives(Permit.objects.all(), NEXT_DAY)["PD-1"].signed_at == cast.AT
    done("extend", "P-ISS", NEXT_DAY, until=NEXT_DAY + timedelta(hours=8))
    done("hand_over", "P-REC", NEXT_DAY + timedelta(hours=1), to="P-SAF")
    assert lives(Permit.objects.all(), NEXT_DAY)["PD-1"].signed_at == NEXT_DAY
    Calibration.objects.filter(pk="K-I-R1").update(due_on=date(2027, 3, 4))  # already over when it was extended
    assert "Not to dig" in text(address(ran_out))


def test_a_permit_that_nobody_accepted_yet_is_blocked_for_its_next_signature(scene, hands, as_person):
    signed(1)
    Award.objects.filter(pk="A-OPE").update(expires_on=date(2027, 3, 4))
    hands.at = NEXT_DAY
    assert "Not to dig" in text("/permits/PD-1/", as_person("P-REC"))
