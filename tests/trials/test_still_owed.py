"""What owners are still to be told, of all locates within reach: a page of locates at a time, in a fixed number of queries."""

import csv
from datetime import timedelta
from io import StringIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from locates.surveys.models import Locate, Trace
from locates.trials.models import Report, TrialHole
from tests import cast
from tests.elsewhere import OF, hole
from tests.trials.test_plans_page import askew

__all__ = ["askew"]
PAGE = "/to-report/"
SEVEN = "T-7 water: traced by sonde, and shown on no plan"


def owing(client, address=PAGE):
    return {one.locate.pk: [each.told.says for each in one.marked] for one in client.get(address).context["owing"]}


def report(**of):
    Report.objects.create(
        report=f"R-{Report.objects.count()}", locate_id="L-1", service_owner="Northline Power", reported_at=cast.AT, person_id="P-OPE", **of, **OF
    )


def test_it_lists_just_what_the_locates_own_page_has_unreported(askew, as_person):
    client = as_person("P-SAF")
    marked = [one.told.says for one, reported in client.get("/locates/L-1/to-report/").context["marked"] if not reported]
    assert owing(client)["L-1"] == marked
    assert len(marked) == 3 and SEVEN in marked
    assert SEVEN in client.get(PAGE).content.decode()


@pytest.mark.parametrize(
    ("of", "left"),
    [({"trace_id": "T-7"}, "T-7"), ({"hole_id": "H-2"}, "H-2"), ({"service_id": "V-1"}, "V-1")],
)
def test_what_was_reported_is_left_out(askew, as_person, of, left):
    report(**of)
    told = owing(as_person("P-SAF"))["L-1"]
    assert len(told) == 2 and not [one for one in told if one.startswith(left)]


def test_a_locate_of_which_all_is_reported_is_left_out(askew, as_person):
    for of in ({"trace_id": "T-7"}, {"hole_id": "H-2"}, {"service_id": "V-1"}):
        report(**of)
    assert "L-1" not in owing(as_person("P-SAF"))


def test_a_report_of_the_service_is_none_of_a_line_that_no_plan_shows(askew, as_person):
    report(trace_id="T-7", service_id="V-1")
    assert SEVEN in owing(as_person("P-SAF"))["L-1"]


def test_it_is_narrowed_to_a_site(askew, as_person):
    hole("H-10", "L-9", "P-FAR", utility="gas")
    client = as_person("P-SAF")
    assert set(owing(client)) >= {"L-1", "L-9"}
    assert "L-1" not in owing(client, f"{PAGE}?site=S-9") and "L-9" in owing(client, f"{PAGE}?site=S-9")
    assert client.get(f"{PAGE}?site=S-404").status_code == 200


def test_everyone_sees_only_what_is_within_their_reach(askew, as_person):
    hole("H-10", "L-9", "P-FAR", utility="gas")
    assert "L-9" not in owing(as_person("P-ISS")) and "L-1" in owing(as_person("P-ISS"))
    assert "L-1" not in owing(as_person("P-FAR"))


def test_the_csv_file_holds_every_page_of_it(askew, as_person):
    many(30)
    rows = list(csv.DictReader(StringIO(b"".join(as_person("P-SAF").get("/to-report.csv")).decode("utf-8-sig"))))
    assert {row["locate"] for row in rows} >= {"L-1", *(f"Q-{n}" for n in range(30))}
    assert ("L-1", SEVEN, "T-7") in [(row["locate"], row["what"], row["trace"]) for row in rows]


def test_the_first_page_leads_there(askew, as_person):
    assert 'href="/to-report/"' in as_person("P-SAF").get("/").content.decode()


def many(count):
    """So many more finished locates, each with a line that no plan shows and a hole on no trace."""
    begun = {"started_at": cast.AT - timedelta(hours=25), "finished_at": cast.AT - timedelta(hours=22)}
    of = [f"Q-{n}" for n in range(count)]
    Locate.objects.bulk_create(Locate(locate=one, site_id="S-1", operator_id="P-OPE", receiver_id="I-R1", **begun, **OF) for one in of)
    line = {"utility": "water", "technique": "sonde", "line": "LINESTRING (101 96, 101 106)", "quality_level": "B"}
    Trace.objects.bulk_create(Trace(trace=f"{one}-T", locate_id=one, **line, **OF) for one in of)
    dug = {"exposed_at": cast.AT, "person_id": "P-OPE", "x": "103", "y": "101", "utility": "gas", "depth_m": "0.5"}
    TrialHole.objects.bulk_create(TrialHole(hole=f"{one}-H", locate_id=one, **dug, **OF) for one in of)


def queries(client, address):
    with CaptureQueriesContext(connection) as seen:
        assert client.get(address).status_code == 200
    return len(seen)


def test_a_thousand_locates_take_as_many_queries_as_ten(askew, as_person):
    client, counts = as_person("P-SAF"), []
    for count in (10, 1000):
        many(count)
        counts.append([queries(client, address) for address in (PAGE, f"{PAGE}?site=S-1&page=2")])
        for model in (TrialHole, Trace, Locate):
            model.objects.filter(pk__startswith="Q-").delete()
    assert counts[0] == counts[1]
