"""A permit whose life goes on after its signatures: what its address says, and which papers there are."""

from datetime import timedelta

import pytest
from django.test import Client

from locates.papers.models import Paper
from records.files.store import place
from tests import cast
from tests.life.conftest import done
from tests.locates.printing import words
from tests.papers.conftest import printed, signed
from tests.papers.test_looking_up import address, text

pytestmark = pytest.mark.django_db
LATER = cast.AT + timedelta(hours=1)


@pytest.fixture
def paper(scene, hands):
    signed()
    made = printed()
    hands.at = LATER
    return made


def test_suspended_the_page_says_so_and_since_when(paper):
    done("suspend", "P-REC", LATER)
    assert "Suspended Since 4 Mar 2027 09:30 UTC+13:00, now." in text(address(paper))


def test_resumed_it_holds_again_but_the_paper_is_an_older_one(paper, as_person):
    done("suspend", "P-REC", LATER)
    done("resume", "P-ISS", LATER)
    found = text(address(paper))
    assert "Holds now" in found
    assert "the permit has changed since. Have it printed anew." in found
    assert "the permit has changed since. Print it anew." in as_person("P-ISS").get("/permits/PD-1/").content.decode()
    assert "Resumed 4 Mar 2027 09:30 UTC+13:00 by Ines Harrow." in words(place(printed(LATER).sha256).read_bytes())


def test_extended_it_holds_beyond_the_end_that_was_signed(paper, hands):
    until = paper.permit.valid_to + timedelta(hours=4)
    done("extend", "P-ISS", LATER, until=until)
    second = printed(LATER)
    assert "to 5 Mar 2027 18:30 UTC+13:00" in words(place(second.sha256).read_bytes())
    hands.at = paper.permit.valid_to + timedelta(hours=1)
    assert "Holds now Good until 5 Mar 2027 18:30 UTC+13:00." in text(address(second))
    assert "This paper is not the latest: it is replaced by version 2, printed 4 Mar 2027 09:30 UTC+13:00. Work on that one only." in text(address(paper))


@pytest.mark.parametrize(("steps", "word"), [(["hand_back"], "Handed back"), (["hand_back", "cancel"], "Cancelled"), (["end_scope"], "Ended")])
def test_over_it_says_so(paper, as_person, steps, word):
    for act in steps:
        done(act, "P-ISS" if act == "cancel" else "P-REC", LATER)
    assert f"Permit PD-1 {word}" in text(address(paper))
    assert "Have it printed anew" not in text(address(paper))
    shown = as_person("P-ISS").get("/permits/PD-1/").content.decode()
    assert "A copy to read (PDF)" in shown and "Print (PDF)" not in shown and "Print it anew" not in shown
    # on a screen held up at arm's length, nothing under the word looks like leave to go on
    assert Client().get(address(paper)).context["found"].paper_kind == "mind"


@pytest.mark.parametrize(("act", "state"), [("suspend", "suspended"), ("hand_back", "handed back"), ("end_scope", "ended")])
def test_nothing_is_printed_to_work_on_while_nobody_may_dig_by_it(paper, as_person, act, state):
    done(act, "P-REC", LATER)
    answer = as_person("P-REC").post("/permits/PD-1/print/", follow=True)
    assert f"This permit is {state}: there is no paper of it to work on" in answer.content.decode()
    assert Paper.objects.count() == 1
