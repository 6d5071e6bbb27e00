"""Preparing a permit by its one page, without JavaScript: what is offered, what the gate says of it, what is saved, and by whom."""

from datetime import date
from html import unescape

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from locates.permits.actions import preview, sign
from locates.permits.models import Permit
from records.firm.models import Person, Site
from records.ledger.models import Entry
from tests import cast
from tests.journeys.preparing import CHANGE, PAGE, TYPED, post, signed_in
from training.models import Award

pytestmark = pytest.mark.usefixtures("scene")


def said_of(verdict):
    return [(one.code, one.subject, one.says, one.remedy) for one in (*verdict.blocks, *verdict.cautions)], verdict.good_until, verdict.conditions


@pytest.mark.parametrize(
    "other",
    [
        {},
        {"locate": ""},
        {"crew": []},
        {"method": "machine"},
        {"valid_to_day": "2027-03-30"},
        {"receiver": "P-ISS"},
        {"outline": "100 100\n140 100\n140 102\n100 102"},
        {"outline": "101 101\n109 101", "width": "0.6"},
    ],
)
def test_the_verdict_while_preparing_is_that_of_the_permit_once_saved(as_person, other):
    client = as_person("P-ISS")
    looked = post(client, "look", **other)
    assert not Permit.objects.filter(pk="D-77").exists()
    assert post(client, "save", **other).status_code == 302
    assert said_of(looked.context["verdict"]) == said_of(preview("D-77", cast.AT).verdict)


def test_looking_writes_nothing(as_person):
    client, before = as_person("P-ISS"), Entry.objects.count()
    assert post(client, "look").status_code == 200
    assert post(client, "shorten").status_code == 200
    assert (Entry.objects.count(), Permit.objects.count()) == (before, 1)


def test_a_blocked_permit_is_saved_and_says_that_nobody_has_signed(as_person):
    client = as_person("P-ISS")
    answered = client.post(PAGE, TYPED | {"locate": "", "do": "save"}, follow=True)
    told = unescape(answered.content.decode())
    assert "Permit D-77 is prepared. Nobody has signed it yet." in told
    assert "locate.none" in [one.code for one in answered.context["blocks"]]


def test_shortening_ends_it_with_the_first_of_its_evidence_and_lifts_the_block(as_person):
    client = as_person("P-ISS")
    late = {"valid_to_day": "2027-03-30"}
    before = post(client, "look", **late)
    assert "window.outlasts_evidence" in [one.code for one in before.context["blocks"]]
    after = post(client, "shorten", **late)
    good = before.context["verdict"].good_until
    assert after.context["verdict"].blocks == ()
    assert after.context["form"].data["valid_to_day"] == good.astimezone(after.context["verdict"].zone).date().isoformat()


def test_someone_who_may_not_be_chosen_is_told_with_the_gates_words(as_person):
    Award.objects.filter(award="A-REC").update(withdrawn_on=date(2027, 3, 2), withdrawn_because="sat by someone else")
    answered = post(as_person("P-ISS"), "look")
    block = next(one for one in answered.context["verdict"].blocks if one.code == "receiver.withdrawn")
    against = {one.name: one.says for one in answered.context["offer"].against["receiver"]}
    assert block.says in against["Marek Tane (P-REC)"]
    assert block.says in unescape(answered.content.decode())


def test_a_fault_stands_at_its_field_and_what_was_typed_is_kept(as_person):
    answered = post(as_person("P-ISS"), "save", outline="100 100\nninety nine", depth_m="deep")
    assert {"outline", "depth_m"} <= set(answered.context["form"].errors)
    assert "ninety nine" in answered.content.decode() and "Trench for a duct" in answered.content.decode()
    assert Permit.objects.count() == 1


def test_a_number_that_is_taken_is_said_at_the_number(as_person):
    answered = post(as_person("P-ISS"), "save", permit="PD-1")
    assert "permit" in answered.context["form"].errors
    assert Permit.objects.get(pk="PD-1").work != TYPED["work"]


@pytest.mark.parametrize(("day", "time", "told"), [("2027-09-26", "02:30", "The clocks went forward"), ("2027-04-04", "02:30", "comes twice")])
def test_a_time_that_the_clocks_skip_or_show_twice_is_said_at_its_field(as_person, day, time, told):
    answered = post(as_person("P-ISS"), "save", valid_to_day=day, valid_to_time=time)
    assert told in answered.context["form"].errors["valid_to"][0]
    assert Permit.objects.count() == 1


def test_another_site_is_neither_offered_nor_taken(as_person):
    Site.objects.create(site="S-3", name="Bare moor", time_zone="Etc/UTC", rule_set_id="default", recorded_at=cast.RECORDED)
    client = as_person("P-ISS")
    assert "Bare moor" not in client.get(PAGE).content.decode()
    assert "site" in post(client, "save", site="S-3").context["form"].errors
    assert not Permit.objects.filter(pk="D-77").exists()


@pytest.mark.parametrize("address", [PAGE, CHANGE])
@pytest.mark.parametrize("person", ["P-OPE", "P-CR1"])
def test_who_may_not_prepare_finds_no_such_page(as_person, person, address):
    client = as_person(person)
    assert client.get(address).status_code == 404
    assert post(client, "save", address).status_code == 404


def test_a_prepared_permit_is_changed_on_the_same_page(as_person):
    client = as_person("P-ISS")
    seen = client.get(CHANGE).context["seen"]
    assert post(client, "save", CHANGE, seen=seen, work="Only half of it").status_code == 302
    assert Permit.objects.get(pk="PD-1").work == "Only half of it"


def test_a_blocked_permit_is_looked_at_while_it_is_changed(as_person):
    client = as_person("P-ISS")
    Permit.objects.get(pk="PD-1").crew.set([])
    assert "people.no_crew" in [one.code for one in client.get(CHANGE).context["blocks"]]
    assert "window.outlasts_evidence" in [one.code for one in post(client, "look", CHANGE, valid_to_day="2027-03-30").context["blocks"]]


def test_what_somebody_else_changed_meanwhile_is_shown_beside_what_was_typed(as_person):
    client = as_person("P-ISS")
    seen = client.get(CHANGE).context["seen"]
    Permit.objects.filter(pk="PD-1").update(work="Their new words")
    answered = post(client, "save", CHANGE, seen=seen, work="My own words")
    told = answered.content.decode()
    assert answered.status_code == 409
    assert "Their new words" in told and "My own words" in told
    assert Permit.objects.get(pk="PD-1").work == "Their new words"


def test_a_signed_permit_is_closed_to_change_and_another_like_it_is_offered(as_person):
    sign("PD-1", "P-ISS", "issue", cast.AT, preview("PD-1", cast.AT).seen)
    client = as_person("P-ISS")
    answered = client.get(CHANGE, follow=True)
    assert answered.redirect_chain[-1][0] == "/permits/PD-1/"
    assert "A signed permit never changes" in unescape(answered.content.decode())
    assert post(client, "save", CHANGE, work="After all").status_code == 302
    assert Permit.objects.get(pk="PD-1").work != "After all"
    assert "Trench for a water pipe across the yard" in client.get(PAGE, {"like": "PD-1"}).content.decode()


def queries(client):
    with CaptureQueriesContext(connection) as caught:
        assert post(client, "look").status_code == 200
    return len(caught)


def test_the_number_of_queries_does_not_grow_with_the_people(as_person):
    client = as_person("P-ISS")
    queries(client)
    counts = []
    for begin, end in ((0, 10), (10, 1000)):
        names = [f"Q-{number:04}" for number in range(begin, end)]
        Person.objects.bulk_create(Person(person=one, name=f"Ada {one}", employer="Field & Furrow", recorded_at=cast.RECORDED) for one in names)
        Award.objects.bulk_create(
            Award(award=f"A-{one}", person_id=one, course_id="C-DIG", awarded_on=date(2026, 5, 1), recorded_at=cast.RECORDED) for one in names
        )
        counts.append(queries(client))
    assert counts[0] == counts[1]


def test_a_site_without_anything_yet_says_what_is_still_to_be_given(as_person):
    Site.objects.create(site="S-3", name="Bare moor", time_zone="Etc/UTC", rule_set_id="default", recorded_at=cast.RECORDED)
    answered = as_person("P-SAF").get(PAGE, {"site": "S-3"})
    assert "the outline" in answered.context["missing"]


def test_no_shorter_one_is_offered_where_it_begins_after_its_evidence_has_ended(as_person):
    late = {"valid_from_day": "2027-05-01", "valid_to_day": "2027-05-02"}
    client = as_person("P-ISS")
    assert not post(client, "look", **late).context["fits"]
    assert post(client, "shorten", **late).context["form"].data["valid_to_day"] == "2027-05-02"


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("width", [360, 1280])
def test_the_verdict_follows_what_is_typed_and_the_focus_stays(browser, live_server, scene, width):
    page = signed_in(browser, live_server, width, CHANGE)
    page.focus("[name=valid_to_day]")
    page.fill("[name=valid_to_day]", "2027-03-30")
    page.get_by_text("As it stands: Not to dig.").wait_for()
    page.wait_for_selector("#part-fits [value=shorten]")
    assert page.evaluate("document.activeElement.name") == "valid_to_day"
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.focus("#part-fits [value=shorten]")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="May be issued").wait_for()
    assert page.input_value("[name=valid_to_day]") != "2027-03-30"
    page.context.close()
