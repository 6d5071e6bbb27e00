"""The pages on which is arranged, and chosen, what is told ahead."""

from datetime import date, timedelta

import pytest

from locates.watch.actions import tell_ahead
from locates.watch.facts import arrangement, chosen_by, last_told, untold
from locates.watch.models import Arranged
from locates.watch.rules.arrangement import ANSWERS, AWARDS, LINES, OWN, USUAL
from records.firm.models import Person, Posting, Site
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


def elsewhere(recorded=cast.RECORDED, begins="2027-01-01"):
    """Somebody at a site where it is 03:30 at the cast's instant."""
    Site.objects.create(site="S-2", name="Far moor", time_zone="Australia/Perth", rule_set_id="default", recorded_at=recorded)
    Posting.objects.create(posting="N-FAR", person_id="P-FAR", site_id="S-2", role="operator", begins_on=date.fromisoformat(begins), recorded_at=recorded)


def mornings(*days, hours=0):
    for day in days:
        tell_ahead(cast.AT + timedelta(days=day, hours=hours))


IN_PERTH = "People whose sites lie in the time zone Australia/Perth"


def test_whom_a_watch_of_one_zones_mornings_never_reaches_is_said_by_their_time_zone(scene, as_person):
    elsewhere()
    mornings(-3, -2, -1, 0)
    said = first_page(as_person("P-SAF"))
    assert f"{IN_PERTH} have been told nothing ahead yet." in said and "Pacific/Auckland" not in said
    assert "The watch does not run" not in said and "The watch does not reach everybody" not in first_page(as_person("P-ISS"))


@pytest.mark.parametrize(("days", "told"), [((-1,), True), ((-3, -2), False)])
def test_once_they_were_told_it_is_said_when_that_is_too_long_ago(scene, as_person, days, told):
    elsewhere()
    mornings(*days, hours=8)
    mornings(0)
    said = first_page(as_person("P-SAF"))
    assert ("The watch does not reach everybody" in said, f"{IN_PERTH} were last told ahead on 2 Mar 2027 16:30" in said) == (not told, not told)


def test_it_is_found_out_by_as_few_questions_for_many_people_as_for_one(scene, django_assert_num_queries):
    elsewhere()
    mornings(0)
    before = cast.AT - timedelta(hours=36)
    for first, last in ((0, 1), (1, 40)):
        Person.objects.bulk_create(Person(person=f"Q-{n}", name="Q", roles=(), employer="Q", recorded_at=cast.RECORDED) for n in range(first, last))
        with django_assert_num_queries(9):
            assert untold(last_told(), before, cast.AT) == ["Australia/Perth"]


NOBODY_YET = {
    "a site put on record today": {"recorded": cast.AT},
    "a posting that begins today": {"begins": "2027-03-04"},
    "a posting still to come": {"begins": "2027-04-01"},
}


@pytest.mark.parametrize("what", NOBODY_YET)
def test_where_nobody_was_yet_for_so_long_there_is_nothing_to_say(scene, as_person, hands, what):
    elsewhere(**NOBODY_YET[what])
    hands.at = cast.AT + timedelta(hours=2)
    mornings(-1, 0)
    assert "The watch" not in first_page(as_person("P-SAF"))


def test_letters_that_may_not_have_arrived_are_counted_and_lead_to_themselves(scene, as_person):
    tell_ahead(cast.AT)
    write("a", "P-CR1", at=cast.AT)
    write("b", "P-CR1", at=cast.AT - timedelta(days=9))
    client = as_person("P-SAF")
    assert '<a href="/letters/?state=lost&amp;since=2027-02-25">1 letter of the last 7 days</a>' in first_page(client)
    assert len(client.get("/letters/?state=lost&since=2027-02-25").context["lines"]) == 1
