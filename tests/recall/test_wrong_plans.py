"""Answers found wrong: through the file's door and the page's, and what becomes of the permits that rest on them."""

from datetime import date, timedelta

import pytest

from locates.fieldwork.offering import plan_choices
from locates.life.models import Step
from locates.life.watching import watched
from locates.permits.actions import preview, sign
from locates.permits.facts import gather_one
from locates.permits.rules.frame import framed
from locates.permits.rules.gate import assess
from locates.surveys.across import found_wrong_before
from locates.surveys.models import Enquiry, WrongPlan
from records.exchange.entering import enter
from records.ledger.chain import Actor
from records.ledger.models import Entry
from tests import cast
from tests.elsewhere import OF, elsewhere
from tests.recall.doing import signed
from tests.register import changed, loaded, places, register, row, says

pytestmark = pytest.mark.django_db
FOUND = {"wrong": "WP-7", "enquiry": "E-1", "found_at_day": "2027-03-04", "found_at_time": "08:00", "person": "P-ISS", "what": "a duct is missing"}


def test_it_is_entered_by_a_supervisor_and_told_in_the_history(scene, as_person):
    client = as_person("P-ISS")
    shown = client.post("/enter/wrong-plans/", FOUND)
    assert "PD-1" in shown.content.decode()  # what it would do to open permits is said first
    answered = client.post("/enter/wrong-plans/", FOUND | {"weighed": shown.context["weighed"]})
    assert answered.status_code == 302, answered.context["form"].errors
    assert WrongPlan.objects.get().what == "a duct is missing"
    assert Entry.objects.get(kind="wrongplan").act == "wrongplan.recorded"
    assert "/records/wrong-plans/WP-7/" in client.get("/records/enquiries/E-1/").content.decode()


@pytest.mark.parametrize(("person", "status"), [("P-ISS", 200), ("P-SAF", 200), ("P-OPE", 404), ("P-CR1", 404)])
def test_who_may_say_so_is_who_may_enter_the_answer(scene, as_person, person, status):
    assert as_person(person).get("/enter/wrong-plans/?enquiry=E-1").status_code == status


def test_only_answers_are_offered(scene, as_person):
    elsewhere()
    offered = as_person("P-SAF").get("/enter/wrong-plans/").context["form"].fields["enquiry"].choices
    assert {key for key, _ in offered if key} == {"E-1", "E-2", "E-9"}


def test_a_permit_that_rests_on_it_is_blocked_from_that_instant(scene):
    WrongPlan.objects.create(wrong="WP-7", enquiry_id="E-1", found_at=cast.AT, person_id="P-ISS", what="a duct is missing", **OF)
    evidence = gather_one("PD-1")
    assert assess(evidence, cast.AT - timedelta(seconds=1)).clear
    assert [(one.code, one.subject) for one in assess(evidence, cast.AT).blocks] == [("plans.wrong", "enquiry:E-1")]


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        ({"found_at": "2027-02-03T08:59:59+13:00"}, "found_at"),
        ({"enquiry": "E3"}, "enquiry"),
        ({"what": ""}, "what"),
        ({"person": "P9"}, "person"),
    ],
)
def test_a_row_that_does_not_fit_is_refused_at_its_column(tmp_path, cells, column):
    assert places(loaded(tmp_path, changed("wrong_plans", "WP1", **cells))) == [("wrong_plans.csv", 2, column)]


def test_no_answer_is_moved_past_the_instant_at_which_it_was_found_wrong(scene):
    WrongPlan.objects.create(wrong="WP-7", enquiry_id="E-1", found_at=cast.AT - timedelta(days=5), person_id="P-ISS", what="another street", **OF)
    assert list(found_wrong_before(["E-1", "E-2"])) == []
    Enquiry.objects.filter(enquiry="E-1").update(answered_at=cast.AT)
    ((enquiry, wrong),) = found_wrong_before(["E-1", "E-2"])
    assert (enquiry, wrong.column) == ("E-1", "answered_at")
    assert "WP-7" in wrong.says


def test_it_stays_as_it_was_told(tmp_path):
    loaded(tmp_path / "in", register())
    done = loaded(tmp_path / "then", {"wrong_plans": [row(register(), "wrong_plans", "WP1") | {"what": "nothing after all"}]})
    assert "is recorded and does not change" in says(done)


def test_whoever_searches_is_told_which_plans_are_wrong(scene):
    told = WrongPlan(wrong="WP-7", enquiry_id="E-1", found_at=cast.AT, person_id="P-ISS", what="a duct is missing.", **OF)
    told.save()
    evidence = gather_one("PD-1")
    assert plan_choices(framed(evidence, cast.AT)) == [
        ("E-1", "Northline Power (E-1): FOUND WRONG, a duct is missing"),
        ("E-2", "Lowtide Water (E-2)"),
    ]
    assert plan_choices(framed(evidence, cast.AT - timedelta(seconds=1)))[0] == ("E-1", "Northline Power (E-1)")


def test_it_is_put_right_until_a_permit_was_signed_upon_it(scene):
    """One told of an answer that no ground of this permit's meets: so it was signed all the same."""
    Enquiry.objects.filter(enquiry="E-1").update(area="POLYGON ((90 90, 120 90, 120 120, 90 120, 90 90))")
    far = {"enquiry": "E-3", "site_id": "S-1", "area": "POLYGON ((500 500, 501 500, 501 501, 500 501, 500 500))", "service_owner": "Northline Power"}
    Enquiry.objects.create(sent_on=date(2027, 2, 20), answered_at=cast.AT - timedelta(days=6), **far, **OF)
    WrongPlan.objects.create(wrong="WP-7", enquiry_id="E-3", found_at=cast.AT, person_id="P-ISS", what="a duct is missing", **OF)
    moved = {"wrong": "WP-7", "enquiry": "E-2"}
    hana = Actor("P-SAF", "Hana Petros")
    assert enter([("wrong_plans.csv", [moved])], hana, cast.AT, why="another owner's", mending=True, dry_run=True).problems == ()
    sign("PD-1", "P-ISS", "issue", cast.AT, preview("PD-1", cast.AT).seen)
    (told,) = enter([("wrong_plans.csv", [moved])], hana, cast.AT, why="another owner's", mending=True).problems
    assert (told.column, "the signed permit PD-1 rests on wrong plan WP-7" in told.says) == ("enquiry", True)


def test_the_watch_suspends_the_live_permits_that_rest_on_it(scene):
    signed()
    told = {"found_at": cast.AT + timedelta(hours=1), "person_id": "P-ISS", "what": "a duct is missing"}
    WrongPlan.objects.create(wrong="WP-7", enquiry_id="E-1", **told, **OF)
    watched(cast.AT + timedelta(minutes=59))
    assert not Step.objects.exists()
    watched(cast.AT + timedelta(hours=1))
    step = Step.objects.get()
    assert step.act == "undone"
    assert "were found wrong on 4 Mar 2027 09:30 UTC+13:00: a duct is missing." in step.why
