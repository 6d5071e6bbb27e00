"""The pages on which is arranged, and chosen, what is told ahead."""

from datetime import timedelta

import pytest

from locates.watch.actions import tell_ahead
from locates.watch.facts import arrangement, chosen_by
from locates.watch.models import Arranged
from locates.watch.rules.arrangement import ANSWERS, AWARDS, LINES, OWN, USUAL
from records.ledger.models import Entry
from records.rules.words import SAFETY_MANAGER, SUPERVISOR
from tests import cast
from tests.letters.conftest import write

pytestmark = pytest.mark.django_db
USUALLY = {"-".join(line): ", ".join(map(str, days)) for line, days in LINES.items()} | {"hour": "6"}


def test_the_safety_manager_arranges_what_is_told(scene, as_person):
    office = as_person("P-SAF")
    office.post("/told-ahead/", USUALLY | {"hour": "7", "answers-safety_manager": "14, 1", "awards-own": ""})
    now = arrangement()
    assert (now.hour, now.of((ANSWERS, SAFETY_MANAGER)), now.of((AWARDS, OWN)), now.of((AWARDS, SUPERVISOR))) == (7, (14, 1), (7, 1), USUAL)
    assert 'value="14, 1"' in office.get("/told-ahead/").content.decode()


@pytest.mark.parametrize("wrong", [{"hour": "24"}, {"hour": ""}, {"awards-own": "soon"}, {"answers-supervisor": "400"}])
def test_what_cannot_be_is_said_at_its_field_and_nothing_is_kept(scene, as_person, wrong):
    shown = as_person("P-SAF").post("/told-ahead/", USUALLY | wrong)
    assert (list(shown.context["form"].errors), Arranged.objects.exists()) == (list(wrong), False)


def test_nobody_else_arranges(scene, as_person):
    assert [as_person(who).post("/told-ahead/", USUALLY | {"hour": "7"}).status_code for who in ("P-ISS", "P-OPE")] == [404, 404]


def test_each_person_is_asked_of_what_their_roles_are_told(scene, as_person):
    shown = {who: as_person(who).get("/account/told-ahead/").content.decode() for who in ("P-CR1", "P-ISS", "P-SAF")}
    assert {who: "people at your sites" in text for who, text in shown.items()} == {"P-CR1": False, "P-ISS": True, "P-SAF": False}
    assert "What everyone is told ahead" in shown["P-SAF"] and "What everyone is told ahead" not in shown["P-ISS"]


def test_what_a_person_chooses_holds_for_them_and_stands_in_the_history(scene, as_person):
    client = as_person("P-CR1")
    client.post("/account/told-ahead/", {"awards-own": ["14"], "permits-own": ["1"]})
    chosen = chosen_by(["P-CR1", "P-ISS"])
    assert set(chosen) == {"P-CR1"}
    assert arrangement().less((AWARDS, OWN), chosen["P-CR1"]) == (14, 7, 1)
    assert Entry.objects.get(act="person.told_ahead").actor_id == "P-CR1"
    assert client.get("/account/told-ahead/").content.decode().count("checked") == 2


def test_nobody_chooses_a_day_that_is_not_arranged(scene, as_person):
    shown = as_person("P-CR1").post("/account/told-ahead/", {"awards-own": ["3"]})
    assert ("awards-own" in shown.context["form"].errors, chosen_by(["P-CR1"])) == (True, {})


# the safety manager's first page


def first_page(client):
    return client.get("/").content.decode()


def test_the_safety_manager_is_told_that_the_watch_does_not_run_and_nobody_else(scene, as_person):
    assert "It has told nobody ahead yet" in first_page(as_person("P-SAF"))
    assert "The watch" not in first_page(as_person("P-ISS"))


@pytest.mark.parametrize(("hours", "runs"), [(-1, True), (-35, True), (-37, False)])
def test_a_watch_that_stood_still_for_longer_than_a_day_is_said_so(scene, as_person, hours, runs):
    tell_ahead(cast.AT + timedelta(hours=hours))
    said = first_page(as_person("P-SAF"))
    assert ("The watch does not run" in said, "It last told people ahead on" in said) == (not runs, not runs)


def test_letters_that_may_not_have_arrived_are_counted_and_lead_to_themselves(scene, as_person):
    tell_ahead(cast.AT)
    write("a", "P-CR1", at=cast.AT)
    write("b", "P-CR1", at=cast.AT - timedelta(days=9))
    client = as_person("P-SAF")
    assert '<a href="/letters/?state=lost&amp;since=2027-02-25">1 letter of the last 7 days</a>' in first_page(client)
    assert len(client.get("/letters/?state=lost&since=2027-02-25").context["lines"]) == 1
