"""Trial holes, planned lines and reports: through the file's door and the page's."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from locates.trials.models import PlannedLine, Report, TrialHole
from records.ledger.models import Entry
from tests.elsewhere import TOLD, near
from tests.register import changed, loaded, places, register, says

pytestmark = pytest.mark.django_db
NEW_HOLE = {
    "hole": "H-7",
    "locate": "L-1",
    "trace": "T-1",
    "exposed_at_day": "2027-03-04",
    "exposed_at_time": "07:30",
    "person": "P-OPE",
    "x": "105.04",
    "y": "101",
    "utility": "electricity",
    "depth_m": "0.86",
    "width_m": "0.11",
}


def test_a_hole_is_entered_after_the_locate_is_finished_too(as_person):
    answered = as_person("P-OPE").post("/enter/holes/", NEW_HOLE)
    assert answered.status_code == 302, answered.context["form"].errors
    hole = TrialHole.objects.get()
    assert (hole.locate_id, hole.trace_id, hole.depth_m, hole.person_id) == ("L-1", "T-1", Decimal("0.86"), "P-OPE")
    assert Entry.objects.get(kind="trialhole").act == "trialhole.recorded"


@pytest.mark.parametrize(("person", "status"), [("P-OPE", 200), ("P-ISS", 200), ("P-SAF", 200), ("P-CR1", 404)])
def test_who_may_enter_one_is_who_may_enter_the_locate_s_own(as_person, person, status):
    assert as_person(person).get("/enter/holes/?locate=L-1").status_code == status


def test_nobody_enters_one_for_a_locate_out_of_their_reach(as_person):
    answered = as_person("P-FAR").post("/enter/holes/", NEW_HOLE)
    assert (answered.status_code, TrialHole.objects.count()) == (200, 0)


def test_from_a_trace_the_form_begins_with_trace_and_locate(as_person):
    page = as_person("P-OPE").get("/records/traces/T-1/").content.decode()
    assert "/enter/holes/?trace=T-1&amp;locate=L-1" in page
    form = as_person("P-OPE").get("/enter/holes/?trace=T-1&locate=L-1").context["form"]
    assert (form["locate"].value(), form["trace"].value()) == ("L-1", "T-1")


def test_holes_stand_on_the_leaves_of_their_locate_and_trace(as_person):
    client = as_person("P-OPE")
    client.post("/enter/holes/", NEW_HOLE)
    for leaf in ("/records/locates/L-1/", "/records/traces/T-1/"):
        assert "/records/holes/H-7/" in client.get(leaf).content.decode()


def test_a_planned_line_goes_by_the_name_of_its_service(as_person):
    client = as_person("P-ISS")
    begun = client.get("/enter/planned-lines/?service=V-1").context["form"]
    assert begun["service"].value() == "V-1"
    answered = client.post("/enter/planned-lines/", {"service": "V-1", "line": "105 96\n105 106", "accuracy_m": "1"})
    assert (answered.status_code, answered.headers["Location"]) == (302, "/records/planned-lines/V-1/")
    assert PlannedLine.objects.get().line == "LINESTRING (105 96, 105 106)"
    assert "/records/planned-lines/V-1/" in client.get("/records/services/V-1/").content.decode()
    again = client.post("/enter/planned-lines/", {"service": "V-1", "line": "1 1\n2 2"})
    assert "V-1 is taken" in again.content.decode()


def test_the_history_leads_to_the_planned_line(as_person):
    near()
    assert as_person("P-SAF").get("/records/of/plannedline/V-1/", follow=True).redirect_chain[-1][0] == "/records/planned-lines/V-1/"


@pytest.mark.parametrize(
    ("name", "id", "cells", "column"),
    [
        ("trial_holes", "O1", {"trace": "X2"}, "trace"),
        ("trial_holes", "O1", {"depth_m": "0"}, "depth_m"),
        ("trial_holes", "O1", {"x": "100000.1"}, "x"),
        ("trial_holes", "O1", {"y": "1.0000001"}, "y"),
        ("trial_holes", "O1", {"utility": "jelly"}, "utility"),
        ("planned_lines", "V2", {"accuracy_m": "-1"}, "accuracy_m"),
        ("planned_lines", "V2", {"line": "LINESTRING (1 1, 1 1)"}, "line"),
        ("reports", "Q1", {"trace": "X2"}, "trace"),
        ("reports", "Q1", {"hole": "O2"}, "hole"),
        ("reports", "Q1", {"service": "V6"}, "service"),
        ("reports", "Q1", {"trace": "", "hole": "", "service": ""}, "trace"),
    ],
)
def test_a_row_that_does_not_fit_is_refused_at_its_column(tmp_path, name, id, cells, column):
    done = loaded(tmp_path, changed(name, id, **cells))
    assert places(done) == [(f"{name}.csv", 2, column)]


@pytest.mark.parametrize(
    ("name", "id", "cells", "place"),
    [
        ("traces", "X3", {"locate": "L3"}, ("traces.csv", 4, "locate")),
        ("locates", "L2", {"site": "S2"}, ("locates.csv", 3, "site")),
    ],
)
def test_what_a_hole_or_a_report_goes_with_does_not_move_away(tmp_path, name, id, cells, place):
    tables = register()
    tables["trial_holes"][1]["trace"] = "X3"
    tables["reports"][1]["service"] = "V3"
    assert says(loaded(tmp_path / "in", tables)) == ""
    row = next(one for one in register()[name] if id in one.values()) | cells
    done = loaded(tmp_path / "then", {name: [row]})
    assert {(file, column) for file, _, column in places(done)} >= {(place[0], place[2])}
    assert "O2" in says(done) or "Q2" in says(done)


def test_what_was_measured_is_put_right_with_a_reason_and_not_by_a_file(tmp_path):
    loaded(tmp_path / "in", register())
    done = loaded(tmp_path / "then", {"trial_holes": [register()["trial_holes"][0] | {"depth_m": "1.1"}]})
    assert "is recorded and does not change" in says(done)


def test_a_report_of_nothing_does_not_reach_the_database(scene):
    with pytest.raises(IntegrityError), transaction.atomic():
        Report.objects.create(report="R-7", locate_id="L-1", person_id="P-OPE", **TOLD)
