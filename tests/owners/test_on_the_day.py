"""Where owners agreed to the work on conditions of theirs, whoever looks the dig over declares that they are kept, or stops the work."""

import re
from datetime import timedelta

import pytest

from locates.life.facts import lives
from locates.lookovers.forms import CHANGED
from locates.lookovers.models import DiaryRow
from locates.lookovers.rules.words import OWNERS, WITH_OWNERS, WRONG_SAYS
from locates.permits.actions import preview, sign
from locates.permits.models import Permit
from tests import cast
from tests.elsewhere import agreement
from tests.life.conftest import done

KEPT, PAGE, LATER = WITH_OWNERS[OWNERS], "/permits/PD-1/look-over/", cast.AT + timedelta(hours=1)
GONE = {"do": "wrong", "wrong": [OWNERS], "note": "Nobody of Northline Power is here.", "action": "Sent everyone off."}


@pytest.fixture
def dig(scene, hands, as_person):
    """PD-1 signed, with what an owner agreed to or without; whoever accepted it, an hour later."""

    def begun(agreed):
        if agreed:
            agreement("AG-1", site_id="S-1", service_owner="Northline Power", agreed=("attend",))
        for meaning, person in (("issue", "P-ISS"), ("accept", "P-REC")):
            sign("PD-1", person, meaning, cast.AT, preview("PD-1", cast.AT).seen)
        hands.at = LATER
        return as_person("P-REC")

    return begun


def post(client, **given):
    shown = client.get(PAGE).context
    return client.post(PAGE, {"seen": shown["form"]["seen"].value(), "shown": shown["shown"], **given}, follow=True)


@pytest.mark.parametrize("agreed", [True, False])
def test_the_point_is_shown_and_declared_where_something_was_agreed_and_nowhere_else(dig, agreed):
    client = dig(agreed)
    assert (KEPT in client.get(PAGE).content.decode()) == agreed
    post(client, do="sound")
    made = DiaryRow.objects.get()
    assert (made.sound, KEPT in made.declaration) == (True, agreed)


def test_where_the_owner_s_person_is_not_there_the_work_is_stopped(dig):
    client = dig(agreed=True)
    answered = post(client, **GONE)
    made = DiaryRow.objects.get()
    assert (made.wrong, f"Not so: {WRONG_SAYS[OWNERS]}." in made.declaration) == ((OWNERS,), True)
    assert lives(Permit.objects.all(), LATER)["PD-1"].state == "suspended"
    assert WRONG_SAYS[OWNERS] in answered.content.decode()


def test_without_an_agreement_nobody_is_asked_for_it(dig):
    client = dig(agreed=False)
    post(client, **GONE)
    assert DiaryRow.objects.count() == 0


def resumed_with_an_agreement(hands):
    """The work is stopped, and goes on once an owner has agreed to something."""
    done("suspend", "P-REC")
    agreement("AG-2", site_id="S-1", service_owner="Northline Power", agreed=("attend",))
    hands.at = LATER + timedelta(minutes=30)
    done("resume", "P-ISS", at=hands.at)


def test_nobody_declares_what_the_page_did_not_ask(dig, hands):
    client = dig(agreed=False)
    kept = {"seen": "0", "shown": client.get(PAGE).context["shown"]}
    resumed_with_an_agreement(hands)
    refused = client.post(PAGE, kept | {"do": "sound"})
    assert (refused.status_code, CHANGED in refused.content.decode(), DiaryRow.objects.count()) == (422, True, 0)
    again = {name: re.search(rf'name="{name}" value="([^"]*)"', refused.content.decode())[1] for name in ("seen", "shown")}
    client.post(PAGE, again | {"do": "sound"})
    assert KEPT in DiaryRow.objects.get().declaration


def test_the_work_is_stopped_from_whatever_page(dig, hands):
    client = dig(agreed=False)
    kept = {"seen": "0", "shown": client.get(PAGE).context["shown"]}
    resumed_with_an_agreement(hands)
    client.post(PAGE, kept | GONE | {"wrong": ["marks"]})
    made = DiaryRow.objects.get()
    assert (made.wrong, KEPT in made.declaration, lives(Permit.objects.all(), hands.at)["PD-1"].state) == (("marks",), False, "suspended")


def test_what_was_asked_is_declared_though_it_is_asked_no_more(dig):
    client, shown = dig(agreed=False), {"seen": "0", "shown": " ".join(WITH_OWNERS)}
    client.post(PAGE, shown | {"do": "sound"})
    client.post(PAGE, GONE | shown | {"seen": "1"})
    sound, wrong = DiaryRow.objects.order_by("number")
    assert (KEPT in sound.declaration, wrong.wrong, KEPT in wrong.declaration) == (True, (OWNERS,), False)
