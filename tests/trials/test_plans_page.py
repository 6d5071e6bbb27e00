"""Plans against the ground: the page of a locate, its drawing, and what is to be reported to the owners."""

import csv
from datetime import timedelta
from decimal import Decimal
from io import StringIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from locates.fieldwork.models import FieldSheet
from locates.permits.models import Permit
from locates.surveys.models import Enquiry, Outcome, PlanService, Trace
from locates.trials.models import PlannedLine, Report
from tests import cast
from tests.elsewhere import OF, TOLD, elsewhere, hole

LINE = "LINESTRING (105.7 90, 105.7 110)"
PAGE = "/locates/L-1/plans/"


@pytest.fixture
def askew(scene):
    """The cable of the plans lies 0.7 m from where the plan has it; a pipe was traced that no plan shows; a hole shows something else again."""
    elsewhere()
    PlannedLine.objects.create(service_id="V-1", line=LINE, **OF)
    Trace.objects.create(trace="T-7", locate_id="L-1", utility="water", technique="sonde", line="LINESTRING (101 96, 101 106)", quality_level="B", **OF)
    hole("H-1", "L-1", "P-OPE", trace_id="T-1", x="105.04", y="101", utility="electricity")
    hole("H-2", "L-1", "P-OPE", x="103", y="101", utility="gas")


def page(client, path=PAGE):
    answered = client.get(path)
    assert answered.status_code == 200
    return " ".join(answered.content.decode().split())


def rows(client, path="/locates/L-1/to-report.csv"):
    return list(csv.DictReader(StringIO(b"".join(client.get(path)).decode("utf-8-sig"))))


def test_each_service_stands_under_its_owner_with_how_it_was_accounted_for(askew, as_person):
    shown = as_person("P-OPE").get(PAGE).context
    assert [(one.owner, one.says, [line["how"] for line in one.services]) for one in shown["owners"]] == [
        ("Northline Power", "", ["traced"]),
        ("Lowtide Water", "the plans show nothing here", []),
    ]
    (line,) = shown["owners"][0].services
    assert (line["traces"], line["says"]) == ([("T-1", "by induction")], "exposed in trial hole H-1")
    assert (line["apart"], line["beyond"]) == ("0.7 m apart at most, 0.7 m on the mean, over 10 m", True)


def test_it_is_reckoned_for_the_permit_as_things_stood_when_the_locate_was_finished(askew, as_person):
    found = page(as_person("P-OPE"))
    assert "For the dig of permit PD-1, as things stood at 3 Mar 2027 10:30 UTC+13:00, when the locate was finished." in found


def test_of_several_permits_the_reader_chooses(askew, as_person):
    cast.permit("PD-2", outline="POLYGON((100.5 100,101.5 100,101.5 102,100.5 102,100.5 100))", valid_from=cast.AT)
    client = as_person("P-ISS")
    assert "For the dig of permit PD-2" in page(client)
    assert '<a href="?permit=PD-1">permit PD-1</a>' in page(client)
    assert [line["how"] for line in client.get(PAGE).context["owners"][0].services] == ["in doubt"]
    assert [line["how"] for line in client.get(f"{PAGE}?permit=PD-1").context["owners"][0].services] == ["traced"]


def test_without_a_permit_it_is_for_the_field_sheet_s_dig_and_without_one_for_what_was_swept(askew, as_person):
    Permit.objects.all().update(locate=None)
    client = as_person("P-OPE")
    assert "For the ground that was swept, for no permit names this locate yet" in page(client)
    FieldSheet.objects.create(sheet="F-1", locate_id="L-1", outline=cast.OUTLINE, marks=(), **OF)
    assert "For the dig of its field sheet" in page(client)
    assert [line["how"] for line in client.get(PAGE).context["owners"][0].services] == ["traced"]


@pytest.mark.parametrize(
    ("change", "how"),
    [
        (lambda: Outcome.objects.create(locate_id="L-1", service_id="V-2", outcome="not_found", note="searched twice", **OF), "not found"),
        (lambda: Outcome.objects.create(locate_id="L-1", service_id="V-2", outcome="outside_dig", note="by telephone", **OF), "outside the dig"),
        (lambda: None, "unaccounted"),
    ],
)
def test_a_service_without_a_trace_is_told_as_the_gate_has_it(askew, as_person, change, how):
    PlanService.objects.create(service="V-2", enquiry_id="E-1", utility="telecom", conductive=True, **OF)
    change()
    assert [line["how"] for line in as_person("P-OPE").get(PAGE).context["owners"][0].services] == ["traced", how]


def test_owners_who_had_not_answered_are_told(askew, as_person):
    Enquiry.objects.filter(pk="E-2").update(answered_at=None, nothing_shown=None)
    assert [one.says for one in as_person("P-OPE").get(PAGE).context["owners"]] == ["", "had not answered"]


def test_of_enquiries_about_other_ground_none_is_told_beside_one_about_this(askew, as_person):
    far = "POLYGON ((500 500, 510 500, 510 510, 500 510, 500 500))"
    asked = {"site_id": "S-1", "sent_on": cast.AT.date() - timedelta(days=9), "answered_at": cast.AT - timedelta(days=6), "area": far, **OF}
    Enquiry.objects.create(enquiry="E-7", service_owner="Northline Power", **asked)
    Enquiry.objects.create(enquiry="E-8", service_owner="Gale Gas", **asked)
    owners = as_person("P-OPE").get(PAGE).context["owners"]
    assert [(one.enquiry, one.says) for one in owners] == [("E-1", ""), ("E-2", "the plans show nothing here"), ("E-8", "asked about other ground only")]


def test_the_drawing_has_planned_lines_dashed_traced_ones_whole_and_the_largest_difference(askew, as_person):
    drawn = as_person("P-OPE").get(PAGE).context["drawing"]
    assert "stroke-dasharray" in drawn
    for words in ("V-1 plan", "T-1", "T-7", "H-2", "0.7 m: where V-1 lies farthest from its plan", "dashed: as the owner"):
        assert words in drawn, words
    assert "style=" not in drawn


def test_what_is_to_be_reported_is_listed_with_who_was_told_and_when(askew, as_person):
    client = as_person("P-OPE")
    assert [one.told.says.split(":")[0] for one, _ in client.get(PAGE).context["marked"]] == ["V-1 electricity", "T-7 water", "H-2 gas"]
    found = page(client, "/locates/L-1/to-report/")
    assert "3 of 3</strong> not reported yet" in found
    assert found.count("<strong>Not reported yet.</strong>") == 3
    assert "V-1 electricity: traced as T-1, 0.7 m apart at most, 0.7 m on the mean, over 10 m; 0.5 m may be. The plan is Northline Power" in found
    Report.objects.create(report="R-1", locate_id="L-1", service_id="V-1", person_id="P-OPE", **TOLD | {"service_owner": "Northline Power"})
    Report.objects.create(report="R-2", locate_id="L-1", trace_id="T-7", person_id="P-ISS", **TOLD | {"service_owner": "Lowtide Water"})
    found = page(client, "/locates/L-1/to-report/")
    assert "1 of 3</strong> not reported yet" in found
    assert "Reported to Northline Power, 4 Mar 2027 08:30 UTC+13:00, by Olu Hale." in found
    assert "Reported to Lowtide Water, 4 Mar 2027 08:30 UTC+13:00, by Ines Harrow." in found


def test_it_is_noted_from_there_in_one_form_that_knows_what_it_is_about(askew, as_person):
    client = as_person("P-OPE")
    addresses = {one.told.service or one.told.trace or one.told.hole: one.another for one, _ in client.get(PAGE).context["marked"]}
    assert addresses["V-1"] == "/enter/reports/?locate=L-1&trace=T-1&service=V-1&service_owner=Northline+Power"
    begun = client.get(addresses["V-1"]).context["form"]
    held = {name: begun[name].value() for name in ("report", "locate", "trace", "service", "service_owner", "person")}
    moment = {"reported_at_day": "2027-03-04", "reported_at_time": "08:00"}
    assert client.post("/enter/reports/", held | moment).status_code == 302
    assert [len(one.reports) for one, _ in client.get(PAGE).context["marked"]] == [1, 0, 0]
    assert "<option" in client.get(addresses["H-2"]).content.decode()


def test_the_file_has_a_row_for_each_and_for_each_report(askew, as_person):
    for number in (1, 2):
        Report.objects.create(report=f"R-{number}", locate_id="L-1", trace_id="T-7", person_id="P-OPE", **TOLD | {"service_owner": f"Owner {number}"})
    found = rows(as_person("P-OPE"))
    assert [(row["service"], row["trace"], row["hole"], row["reported_to"]) for row in found] == [
        ("V-1", "T-1", "", ""),
        ("", "T-7", "", "Owner 1"),
        ("", "T-7", "", "Owner 2"),
        ("", "", "H-2", ""),
    ]
    assert (found[1]["reported_at"], found[1]["reported_by"]) == ("2027-03-04T08:30:00+13:00", "Olu Hale")


def test_nothing_to_report_says_so_and_a_line_not_entered_is_asked_for(scene, as_person):
    found = page(as_person("P-ISS"))
    assert "Nothing: every line traced is on a plan" in found
    assert '<a href="/enter/planned-lines/?service=V-1">Enter where the plan shows it</a>' in found
    assert "is not entered" in page(as_person("P-OPE"))
    assert "No line of a plan is entered" in found


def test_a_locate_without_enquiries_and_without_sweeps_has_its_page(scene, as_person):
    elsewhere()
    found = page(as_person("P-SAF"), "/locates/L-9/plans/")
    assert "Moor Power" in found
    Enquiry.objects.all().update(sent_on="2027-03-20", answered_at=None, nothing_shown=None)
    Permit.objects.all().update(locate=None)
    assert "No owner had been asked by then. <a href=" in page(as_person("P-SAF"), "/locates/L-9/plans/")


def test_the_locate_s_own_page_leads_there(scene, as_person):
    assert f'href="{PAGE}">Plans against ground</a>' in page(as_person("P-OPE"), "/records/locates/L-1/")


@pytest.mark.parametrize(("person", "status"), [("P-OPE", 200), ("P-ISS", 200), ("P-SAF", 200), ("P-FAR", 404), ("P-CR1", 404)])
def test_who_may_see_the_locate_may_see_it(scene, as_person, person, status):
    assert as_person(person).get(PAGE).status_code == status


def test_the_number_of_queries_grows_neither_with_lines_nor_with_holes(askew, as_person):
    def queries():
        with CaptureQueriesContext(connection) as made:
            assert client.get(PAGE).status_code == 200
        return len(made)

    client = as_person("P-OPE")
    before = queries()
    for number in range(10):
        PlanService.objects.create(service=f"W-{number}", enquiry_id="E-1", utility="telecom", conductive=True, **OF)
        PlannedLine.objects.create(service_id=f"W-{number}", line=LINE, accuracy_m=Decimal(1), **OF)
        hole(f"H-X{number}", "L-1", "P-OPE", x=str(100 + number), y="101")
    assert queries() == before
