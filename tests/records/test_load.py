"""A register folder comes in: all of it, or nothing and every reason why."""

import pytest

from locates.permits.models import Permit
from locates.surveys.models import Enquiry, Trace
from records.exchange.catalogue import tables
from records.firm.models import Person, RuleSet
from records.ledger.models import Entry
from tests.register import AT, changed, loaded, places, register, row, says

pytestmark = pytest.mark.django_db


def test_a_right_register_comes_in_whole(tmp_path):
    done = loaded(tmp_path, register())
    assert says(done) == ""
    assert done.written == {file: len(register()[file.removesuffix(".csv")]) for file in tables()}


def test_what_came_in_is_what_was_written(tmp_path):
    loaded(tmp_path, register())
    permit = Permit.objects.get(permit="G1")
    assert (permit.site_id, permit.locate_id, str(permit.depth_m), permit.recorded_at) == ("S1", "L1", "1.200", AT)
    assert sorted(permit.crew.values_list("pk", flat=True)) == ["P1", "P4"]


def test_links_within_a_register_may_point_to_later_rows(tmp_path):
    tables = register()
    tables["enquiries"].reverse()
    assert says(loaded(tmp_path, tables)) == ""
    assert list(Enquiry.objects.get(pk="E2").replaces.values_list("pk", flat=True)) == ["E1"]


def test_one_fault_keeps_everything_out(tmp_path):
    done = loaded(tmp_path, changed("permits", "G2", depth_m="deep"))
    assert places(done) == [("permits.csv", 3, "depth_m")]
    assert (done.written, Person.objects.count(), Entry.objects.count()) == ({}, 0, 0)


def test_all_faults_of_all_files_are_listed_in_order(tmp_path):
    tables = register()
    row(tables, "permits", "G2").update(method="spoon", depth_m="0")
    row(tables, "sites", "S2").update(time_zone="Honolulu")
    row(tables, "people", "P3").update(roles="boss")
    found = places(loaded(tmp_path, tables))
    assert found == [("sites.csv", 3, "time_zone"), ("people.csv", 4, "roles"), ("permits.csv", 3, "depth_m"), ("permits.csv", 3, "method")]


def test_what_rests_on_a_faulty_row_is_not_called_unknown(tmp_path):
    done = loaded(tmp_path, changed("people", "P1", left_on="soon"))
    assert places(done) == [("people.csv", 2, "left_on")]


def test_a_fault_in_the_only_row_of_a_rule_set_is_said_once(tmp_path):
    tables = register()
    del tables["rules"][1]
    tables["rules"][0]["value"] = "9"
    assert places(loaded(tmp_path, tables)) == [("rules.csv", 2, "value")]


def test_a_dry_run_says_the_same_and_writes_nothing(tmp_path):
    done = loaded(tmp_path, register(), dry_run=True)
    assert done.written["permits.csv"] == 3
    assert (Permit.objects.count(), RuleSet.objects.count(), Entry.objects.count()) == (0, 1, 0)


def test_the_same_register_again_changes_nothing_and_writes_no_history(tmp_path):
    loaded(tmp_path, register())
    before = Entry.objects.count()
    done = loaded(tmp_path, register())
    assert (says(done), set(done.written.values()), Entry.objects.count()) == ("", {0}, before)


def test_each_new_record_and_the_load_itself_have_an_entry(tmp_path):
    done = loaded(tmp_path, register())
    assert Entry.objects.count() == sum(done.written.values()) + 1
    assert Entry.objects.filter(act="permit.recorded", subject_id="G1", actor_name="command line", recorded_at=AT).count() == 1


def test_the_history_says_from_and_to_and_why(tmp_path):
    loaded(tmp_path, register())
    loaded(tmp_path, changed("awards", "A1", withdrawn_on="2027-03-01", withdrawn_because="near miss"))
    entry = Entry.objects.get(act="award.changed")
    assert '"after":{"withdrawn_because":"near miss","withdrawn_on":"2027-03-01"},"before":{"withdrawn_because":"","withdrawn_on":""}' in entry.body
    assert (entry.subject_id, entry.happened, entry.why) == ("A1", "2027-03-01", "near miss")


def test_a_person_brought_in_by_a_file_cannot_sign_in(tmp_path):
    loaded(tmp_path, register())
    ana = Person.objects.get(pk="P1")
    assert (ana.has_usable_password(), ana.check_password(""), ana.check_password("!")) == (False, False, False)


def test_every_file_is_optional(tmp_path):
    done = loaded(tmp_path, {"people": register()["people"]})
    assert (says(done), done.written) == ("", {"people.csv": 4})


def test_a_reference_may_be_to_what_is_stored_already(tmp_path):
    loaded(tmp_path / "first", {name: register()[name] for name in ("people", "courses")})
    assert says(loaded(tmp_path / "second", {"awards": register()["awards"]})) == ""


def test_numbers_and_shapes_are_kept_in_one_written_form(tmp_path):
    loaded(tmp_path, changed("traces", "X3", line=" linestring(0.0 7.50,010 -0.0) ", depth_m="01.250"))
    trace = Trace.objects.get(pk="X3")
    assert (trace.line, str(trace.depth_m)) == ("LINESTRING (0 7.5, 10 0)", "1.250")
