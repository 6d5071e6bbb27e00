"""Rows entered in the browser meet the rules of a register folder, and stand or fall together."""

from datetime import UTC, datetime

import pytest

from records.exchange.entering import enter
from records.firm.models import Person, Site
from records.ledger.chain import Actor
from records.ledger.models import Entry
from tests.register import loaded, register
from training.models import Award, Course

pytestmark = pytest.mark.django_db
AT = datetime(2027, 4, 2, 9, 0, tzinfo=UTC)
BY = Actor("P9", "Ida Marsh")


def one(person, **cells):
    return [("people.csv", [{"person": person, "name": "Ana Orr"} | cells])]


def test_a_row_is_written_with_its_entry_by_whom_and_why():
    done = enter(one("P1", roles="operator"), BY, AT, why="new here")
    assert (done.right, done.written, Person.objects.get().recorded_at) == (True, {"people.csv": 1}, AT)
    entry = Entry.objects.get()
    assert (entry.act, entry.actor_id, entry.why, entry.subject_id) == ("person.recorded", "P9", "new here", "P1")


def test_problems_come_back_by_row_and_column_and_nothing_is_written():
    done = enter([("people.csv", [{"person": "P1", "name": "Ana"}, {"person": "P 2", "name": ""}])], BY, AT)
    assert [(problem.row, problem.column) for problem in done.problems] == [(1, "person"), (1, "name")]
    assert (done.written, Person.objects.count(), Entry.objects.count()) == ({}, 0, 0)


def test_registers_are_written_in_their_own_order_whatever_order_they_come_in():
    award = {"award": "A1", "person": "P1", "course": "C1", "awarded_on": "2027-01-05"}
    course = {"course": "C1", "title": "Digging", "valid_months": "24", "authorises": "dig"}
    done = enter([("awards.csv", [award]), ("courses.csv", [course]), *one("P1")], BY, AT)
    assert (done.problems, Award.objects.get().course_id) == ((), "C1")


def test_a_dry_run_keeps_nothing_but_shows_all_as_it_would_be():
    seen = []
    done = enter(one("P1"), BY, AT, last=lambda underway: seen.append(Person.objects.count()), dry_run=True)
    assert (seen, done.right, Person.objects.count(), Entry.objects.count()) == ([1], True, 0, 0)


def test_what_goes_first_can_leave_all_as_it_was():
    def stale(underway):
        raise LookupError("changed meanwhile")

    with pytest.raises(LookupError):
        enter(one("P1"), BY, AT, first=stale)
    assert Person.objects.count() == 0


def test_what_is_done_beside_the_rows_falls_with_them():
    def both(underway):
        Site.objects.create(site="S9", name="Beside", time_zone="UTC", rule_set_id="default", recorded_at=AT)

    enter(one("P 1"), BY, AT, last=both)
    assert Site.objects.count() == 0


def test_rows_that_change_nothing_write_nothing():
    enter(one("P1"), BY, AT)
    assert enter(one("P1"), BY, AT).written == {"people.csv": 0}
    assert Entry.objects.count() == 1


@pytest.fixture
def stored(tmp_path):
    loaded(tmp_path, register())


AWARD = {"award": "A2", "awarded_on": "2026-01-15"}


def test_a_settled_record_is_put_right_with_a_reason_where_nothing_rests_on_it(stored):
    done = enter([("awards.csv", [AWARD])], BY, AT, why="the day was misread", mending=True)
    entry = Entry.objects.order_by("seq").last()
    assert (done.problems, str(Award.objects.get(pk="A2").awarded_on)) == ((), "2026-01-15")
    assert (entry.act, entry.why, "2026-01-05" in entry.body) == ("award.changed", "the day was misread", True)


def test_without_mending_a_settled_record_stays(stored):
    done = enter([("awards.csv", [AWARD])], BY, AT)
    assert [(problem.column, "does not change" in problem.says) for problem in done.problems] == [("awarded_on", True)]


def test_an_award_that_a_finished_locate_rests_on_is_not_put_right(stored):
    done = enter([("awards.csv", [{"award": "A1", "awarded_on": "2026-09-01"}])], BY, AT, why="misread", mending=True)
    assert [problem.says.split(" rests")[0] for problem in done.problems] == ["the finished locate L1"]
    assert str(Award.objects.get(pk="A1").awarded_on) == "2026-08-31"


def test_a_blank_of_a_record_that_something_rests_on_is_filled_all_the_same(stored):
    done = enter([("awards.csv", [{"award": "A1", "assessor": "Hollowgate"}])], BY, AT, why="left out", mending=True)
    assert (done.problems, Award.objects.get(pk="A1").assessor) == ((), "Hollowgate")


@pytest.mark.parametrize(
    ("file", "row"),
    [
        ("calibrations.csv", {"calibration": "B1", "calibrated_on": "2027-01-09"}),
        ("checks.csv", {"check": "H1", "result": "fail"}),
        ("enquiries.csv", {"enquiry": "E2", "answered_at": "2027-02-23T09:00:00+13:00"}),
        ("rules.csv", {"rule_set": "house", "effective_from": "2026-01-01", "key": "hand_dig_m", "value": "0.7"}),
    ],
)
def test_no_other_evidence_of_a_finished_locate_is_put_right(stored, file, row):
    assert [problem.says.split(" rests")[0] for problem in enter([(file, [row])], BY, AT, why="misread", mending=True).problems] == ["the finished locate L1"]


def test_evidence_of_nothing_finished_is_put_right(stored):
    sheets = [("enquiries.csv", [{"enquiry": "E6", "answered_at": "2027-02-04T00:30:00-10:00"}])]
    assert enter(sheets, BY, AT, why="misread", mending=True).problems == ()


def test_months_may_change_while_nothing_rests_on_the_course(stored):
    assert enter([("courses.csv", [{"course": "C4", "valid_months": "36"}])], BY, AT).problems == ()
    assert Course.objects.get(pk="C4").valid_months == 36
