"""Emergency work from its preparing to its follow-up: what it goes without, what it owes, who may say so, what stays, and what its paper says."""

import json
from datetime import date, timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction

from locates.permits.actions import OutOfTurn, Refused, follow_up, preview, sign
from locates.permits.emergencies import due, overdue, work
from locates.permits.facts import gather
from locates.permits.models import Emergency, FollowUp, Permit, SignOff
from locates.permits.paper import permit_pdf
from locates.permits.printing import sheet_to_print
from locates.permits.telling import tell
from locates.surveys.models import Enquiry
from records.exchange.entering import enter
from records.firm.models import Person, Rule
from records.ledger.chain import Actor
from records.ledger.facts import signature_faults
from records.ledger.guards import all_guards
from records.ledger.models import Entry
from records.ledger.triggers import lift_guards
from records.letters.models import Letter
from tests import cast
from tests.life.conftest import accepted, done
from tests.locates.printing import words
from tests.register import changed, loaded, places, register
from training.models import Award, Course

pytestmark = pytest.mark.django_db
TOLD = {"owners": "Northline Power by telephone: nothing more there", "found": "the cable, as traced", "damage": "none"}
HOURS, DAY = timedelta(hours=1), timedelta(days=1)
OVER = cast.AT + 11 * HOURS


def urgent(name="PD-2", by="P-ISS", **other):
    """A permit for emergency work, of twelve hours, decided upon an hour ago."""
    made = cast.permit(name, **{"valid_from": cast.AT - HOURS, "valid_to": OVER} | other)
    declared(name, by)
    return made


def declared(name, by="P-ISS", at=cast.AT - HOURS):
    row = {"danger": "the bank is washed out", "waiting": "Lowtide Water answers on Monday", "decided_by_id": by, "decided_at": at}
    Emergency.objects.create(permit_id=name, recorded_at=cast.RECORDED, **row)


def both(permit="PD-2", at=cast.AT):
    for person, meaning in (("P-ISS", "issue"), ("P-REC", "accept")):
        sign(permit, person, meaning, at, preview(permit, at).seen)


def codes(permit="PD-2", at=cast.AT):
    return [one.code for one in preview(permit, at).verdict.blocks]


def told(permit="PD-2", person="P-ISS", at=OVER, **other):
    return follow_up(permit, Person.objects.get(pk=person), TOLD | other, at)


@pytest.fixture
def unanswered(db):
    """An owner who was asked and has not answered."""
    cast.everything()
    Enquiry.objects.filter(enquiry="E-2").update(answered_at=None, nothing_shown=None)


def test_a_permit_that_waits_for_an_answer_is_signed_as_an_emergency_and_says_without_whose_plans(unanswered):
    assert codes("PD-1") == ["plans.unanswered"]
    urgent()
    both()
    sheet = json.loads(SignOff.objects.get(permit="PD-2", meaning="accept").sheet)
    assert sheet["emergency"]["without"] == "Lowtide Water"
    assert "emergency.unanswered" in [one["code"] for one in sheet["cautions"]]
    assert sheet["rows"]["the emergency"] == ["the bank is washed out", "Lowtide Water answers on Monday", "P-ISS", "2027-03-03T18:30:00+00:00"]
    assert list(signature_faults()) == []


def test_the_locate_and_everything_else_is_owed_as_ever(unanswered):
    urgent(locate_id=None)
    assert codes() == ["locate.none"]
    Enquiry.objects.filter(enquiry="E-2").delete()
    assert codes() == ["locate.none", "plans.not_asked"]


def test_it_cannot_be_extended_beyond_its_hours(db):
    accepted()
    urgent(valid_to=cast.AT + 9 * HOURS)
    both()
    with pytest.raises(Refused) as refused:
        done("extend", "P-ISS", cast.AT + HOURS, permit="PD-2", until=OVER + timedelta(seconds=1))
    assert [one.code for one in refused.value.verdict.blocks] == ["emergency.over_hours"]
    assert done("extend", "P-ISS", cast.AT + HOURS, permit="PD-2", until=OVER).until == OVER


def test_the_firms_own_numbers_are_the_ones_that_count(unanswered):
    urgent(valid_to=OVER + 4 * HOURS)
    assert codes() == ["emergency.over_hours"]
    row = {"effective_from": date(2027, 1, 1), "source": "the firm's own", "recorded_at": cast.RECORDED}
    Rule.objects.create(rule_set_id="default", key="emergency_max_hours", value="16", **row)
    assert codes() == []
    verdict = preview("PD-2", cast.AT).verdict
    assert (verdict.good_until, verdict.limited_by) == (OVER + 4 * HOURS, ("permit",))
    assert ("rules.looser", "rule:emergency_max_hours") in [(one.code, one.subject) for one in verdict.cautions]
    assert "emergency_max_hours" not in str(preview("PD-1", cast.AT).verdict.cautions)


def test_no_new_emergency_is_signed_while_the_follow_up_of_another_is_overdue(unanswered):
    urgent()
    both()
    assert (due(OVER - HOURS), [one.permit.pk for one in due(OVER)], overdue(OVER)) == ([], ["PD-2"], [])
    late = OVER + 9 * DAY
    urgent("PD-3", valid_from=late - HOURS, valid_to=late + 9 * HOURS)
    Emergency.objects.filter(permit="PD-3").update(decided_at=late - HOURS)
    assert "emergency.follow_up_owed" in codes("PD-3", late)
    assert [one.permit.pk for one in overdue(late)] == ["PD-2"]
    assert told(at=late).right
    assert "emergency.follow_up_owed" not in codes("PD-3", late)
    assert (due(late), overdue(late)) == ([], [])


def test_neither_a_beginning_nor_an_issue_dated_before_another_fell_overdue_lets_anyone_sign_after_it(unanswered):
    urgent()
    both()
    overdue_at = work(Permit.objects.filter(pk="PD-2"), OVER)[0].overdue_at
    early, late = overdue_at - HOURS, overdue_at + HOURS
    urgent("PD-3", valid_from=early, valid_to=early + 10 * HOURS)
    Emergency.objects.filter(permit="PD-3").update(decided_at=early)
    assert "emergency.follow_up_owed" not in codes("PD-3", early)
    assert "emergency.follow_up_owed" in codes("PD-3", late)
    for meaning, owed in (("issue", True), ("accept", False)):
        signed = SignOff.objects.filter(permit="PD-2", meaning=meaning).values().get()
        SignOff.objects.create(**signed | {"id": None, "permit_id": "PD-3", "signed_at": early, "recorded_at": early})
        assert ("emergency.follow_up_owed" in codes("PD-3", late)) is owed


def test_it_is_due_through_the_seventh_day_after_the_one_on_which_it_was_over(unanswered):
    urgent()
    both()
    done("hand_back", "P-REC", cast.AT + HOURS, permit="PD-2")  # 4 March at the site
    (one,) = due(cast.AT + HOURS)
    assert one.last_day == "11 Mar 2027"
    assert overdue(one.overdue_at - timedelta(seconds=1)) == []
    assert [each.permit.pk for each in overdue(one.overdue_at)] == ["PD-2"]


def test_before_the_work_is_over_or_without_signatures_there_is_nothing_to_follow_up(unanswered):
    urgent()
    with pytest.raises(OutOfTurn):
        told(at=OVER)
    both()
    with pytest.raises(OutOfTurn):
        told(at=OVER - timedelta(seconds=1))
    assert told(at=OVER).right


def test_what_was_told_before_the_work_was_over_counts_for_nothing(unanswered):
    urgent()
    both()
    FollowUp.objects.create(permit_id="PD-2", number=1, done_at=cast.AT, person_id="P-ISS", recorded_at=cast.AT, **TOLD)
    assert [one.permit.pk for one in due(OVER)] == ["PD-2"]


def test_a_follow_up_stays_and_more_is_added_with_why(unanswered):
    urgent()
    both()
    told()
    assert not told(at=OVER + HOURS).right
    assert told(at=OVER + HOURS, why="the owner called back").right
    assert list(FollowUp.objects.values_list("number", "why").order_by("number")) == [(1, ""), (2, "the owner called back")]
    assert [one.subject_id for one in Entry.objects.filter(act="followup.recorded")] == ["PD-2/1", "PD-2/2"]
    for act in (lambda: FollowUp.objects.update(found="nothing"), lambda: FollowUp.objects.all().delete()):
        with pytest.raises(IntegrityError, match="never changed or removed"), transaction.atomic():
            act()


CHANGES = {
    "changed": lambda: Emergency.objects.update(danger="none to speak of"),
    "removed": lambda: Emergency.objects.all().delete(),
    "added": lambda: declared("PD-1"),
}


@pytest.mark.parametrize("how", CHANGES)
def test_it_stays_with_the_signed_permit_and_past_the_guards_it_is_found_out(db, how):
    accepted()
    urgent()
    both()
    with pytest.raises(IntegrityError, match="signed permit"), transaction.atomic():
        CHANGES[how]()
    lift_guards(connection, all_guards())
    CHANGES[how]()
    assert any("the emergency" in str(one) for one in signature_faults())


def test_its_paper_says_so_on_every_page(unanswered):
    urgent()
    both()
    found = words(permit_pdf(sheet_to_print("PD-2", cast.AT)))
    assert "EMERGENCY WORK Decided by Ines Harrow (P-ISS) on 4 Mar 2027 07:30 UTC+13:00. Dug without the plans of: Lowtide Water." in found
    assert "Follow-up due through 11 Mar 2027, 7 days after it ends" in found
    assert found.count("EMERGENCY WORK. SIGNED") >= 2
    assert "EMERGENCY" not in words(permit_pdf(sheet_to_print("PD-1", cast.AT)))


def test_those_it_concerns_are_written_to_when_it_is_signed_falls_due_and_is_overdue_each_once(unanswered):
    Person.objects.update(email="somebody@example.org")
    urgent()
    both()
    assert tell(OVER - HOURS) == tell(OVER) == tell(OVER + 9 * DAY) == 2
    assert tell(OVER - HOURS) == tell(OVER) == tell(OVER + 10 * DAY) == 0
    keys = [f"emergency/{what}/PD-2/{who}" for what in ("due", "overdue", "signed") for who in ("P-ISS", "P-SAF")]
    assert sorted(Letter.objects.values_list("key", flat=True)) == keys
    assert "on the decision of Ines Harrow" in Letter.objects.get(key="emergency/signed/PD-2/P-SAF").text
    assert all("/permits/PD-2/follow-up/" in one.text for one in Letter.objects.exclude(key__contains="/signed/"))


def test_the_watch_tells_of_it(unanswered):
    Person.objects.update(email="somebody@example.org")
    urgent()
    both()
    out = StringIO()
    with pytest.raises(SystemExit):
        call_command("watch", at=OVER.isoformat(), stdout=out)
    assert "emergency work: 4 letters posted" in out.getvalue()


def test_any_number_of_them_takes_the_same_number_of_queries(db, django_assert_num_queries):
    accepted()
    counts = []
    for first, last in ((2, 3), (3, 12)):
        for number in range(first, last):
            urgent(f"PD-{number}")
            both(f"PD-{number}")
        with django_assert_num_queries(29):
            counts.append(len(gather(Permit.objects.filter(emergency__isnull=False))))
    assert counts == [1, 10]


def with_emergency(**cells):
    return changed("emergencies", "G3", **cells)


def test_registers_of_them_are_loaded(tmp_path):
    assert places(loaded(tmp_path, register())) == []
    assert (Emergency.objects.get().pk, FollowUp.objects.get().number) == ("G3", 1)


@pytest.mark.parametrize("cells", [{"permit": "G9"}, {"danger": ""}, {"waiting": ""}, {"decided_by": "P9"}, {"decided_at": "2027-03-06"}])
def test_what_is_no_emergency_is_refused_at_the_door(tmp_path, cells):
    (column,) = cells
    assert ("emergencies.csv", 2, column) in places(loaded(tmp_path, with_emergency(**cells)))
    assert not Emergency.objects.exists()


@pytest.mark.parametrize("cells", [{"damage": "a cable"}, {"why": "it was blank"}])
def test_what_was_told_in_a_follow_up_is_changed_by_no_register(tmp_path, cells):
    loaded(tmp_path / "in", register())
    row = register()["follow_ups"][0] | cells
    assert places(loaded(tmp_path / "then", {"follow_ups": [row]})) == [("follow_ups.csv", 2, *cells)]


PUT_RIGHT = {
    "awards.csv": {"award": "A-TWO", "awarded_on": "2027-03-04"},
    "courses.csv": {"course": "C-TWO", "title": "Issuing permits", "valid_months": "12", "authorises": "receive_permit"},
}


@pytest.mark.parametrize("file", PUT_RIGHT)
def test_the_award_of_whoever_decided_stays_once_it_is_signed(unanswered, file):
    Course.objects.create(course="C-TWO", title="Issuing permits", valid_months=12, authorises=("issue_permit",), recorded_at=cast.RECORDED)
    Award.objects.create(award="A-TWO", person_id="P-SAF", course_id="C-TWO", awarded_on=date(2026, 6, 1), recorded_at=cast.RECORDED)
    urgent(by="P-SAF")

    def mended():
        row = PUT_RIGHT[file]
        return [one.says for one in enter([(file, [row])], Actor("P-SAF", "Hana Petros"), cast.AT, why="misread", mending=True, dry_run=True).problems]

    assert mended() == []
    both()
    (told,) = mended()
    assert f"the signed permit PD-2 rests on {file.removesuffix('s.csv')}" in told
