"""The page on depths against trial holes, its file, and the line on a receiver's own page."""

import csv
from io import StringIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from locates.surveys.models import Trace
from records.firm.models import Rule, RuleSet, Site
from tests import cast
from tests.elsewhere import OF, elsewhere, hole

CHECKED = {"technique": "direct_connection", "quality_level": "B", "depth_m": "1", "raised_by_m": "0.3", "raised_depth_m": "1.3", "utility": "water"}


def exposed(name, true_m, locate="L-1", person="P-OPE", **of_trace):
    """A trace and the hole that exposes it."""
    Trace.objects.create(trace=f"T-{name}", locate_id=locate, line="LINESTRING(100 96,100 106)", **CHECKED | OF | of_trace)
    return hole(f"H-{name}", locate, person, trace_id=f"T-{name}", depth_m=true_m, x="100.25", y="100")


@pytest.fixture
def few(scene):
    """Three holes here that count, two that do not, and one elsewhere; three are enough to tell."""
    elsewhere()
    RuleSet.objects.create(rule_set="house", **OF)
    Rule.objects.create(rule_set_id="house", effective_from=cast.AT.date(), key="agreement_least_holes", value="3", **OF)
    Site.objects.update(rule_set="house")
    for name, true_m in (("A", "0.9"), ("B", "1"), ("C", "0.8")):
        exposed(name, true_m)
    exposed("OFF", "0.9", raised_depth_m="1.9", depth_m="1.313")
    exposed("PAS", "0.9", technique="passive_power", quality_level="C", depth_m="0.777")


def rows(client, address):
    return list(csv.DictReader(StringIO(b"".join(client.get(address)).decode("utf-8-sig"))))


def test_the_page_tells_the_whole_and_each_receiver_and_operator(few, as_person):
    shown = as_person("P-SAF").get("/agreement/").context
    assert shown["whole"].words.startswith("on the whole 0.1 m too deep; of 100 such readings some 95")
    (_, receivers), (_, operators) = shown["groups"]
    assert [(one.name, one.found.n) for one in receivers] == [("I-R1", 3)]
    assert [(one.name, one.found.n, one.numbers[:1]) for one in operators] == [("Olu Hale (P-OPE)", 3, ("+0.100",)), ("Tam Reyes (P-FAR)", 0, ())]
    assert operators[1].words == "too few to tell: no trial hole, and 3 are wanted"


def test_each_figure_opens_its_holes(few, as_person):
    client = as_person("P-SAF")
    asked = client.get("/agreement/").context["groups"][1][1][0].asked
    shown = client.get(f"/agreement/?{asked}").context
    assert asked == "operator=P-OPE"
    assert {one.hole.pk for one, *_ in shown["holes"]} == {"H-A", "H-B", "H-C", "H-OFF", "H-PAS"}
    assert {one.hole.pk for one, *_ in client.get("/agreement/?operator=P-FAR").context["holes"]} == {"H-9"}
    assert "is not one of the available choices" in client.get("/agreement/?operator=nobody").content.decode()


@pytest.mark.parametrize(("asked", "folded"), [("", True), ("?operator=P-OPE", False)])
def test_the_holes_are_folded_until_some_of_them_are_asked_for(few, as_person, asked, folded):
    said = as_person("P-SAF").get(f"/agreement/{asked}").content.decode()
    assert ('<details class="folded"><summary>Hole by hole' in said, '<details class="folded" open><summary>Hole by hole' in said) == (folded, not folded)


def test_the_file_tells_each_hole_and_no_reading_that_is_not_to_be_relied_on(few, as_person):
    found = {row["hole"]: row for row in rows(as_person("P-SAF"), "/agreement.csv?utility=water&instrument=I-R1")}
    assert [found["H-A"][name] for name in ("read_m", "true_m", "too_deep_m", "too_shallow_m", "beside_m")] == ["1", "0.9", "0.1", "", "0.25"]
    assert found["H-A"]["exposed_at"].endswith("+13:00")
    for name, number in (("H-OFF", "1.313"), ("H-PAS", "0.777")):
        assert found[name]["read_m"] == ""
        assert "not to be relied on" in found[name]["left_out"]
        assert number not in "".join(found[name].values())


def test_a_receiver_s_own_page_has_its_line_and_the_way_only_for_who_may(few, as_person):
    words = "0.1 m too deep"
    office, operator = (as_person(one).get("/records/instruments/I-R1/").content.decode() for one in ("P-SAF", "P-OPE"))
    assert words in office
    assert words in operator
    assert "/agreement/?instrument=I-R1" in office
    assert "/agreement/" not in operator
    assert "against trial holes" not in as_person("P-OPE").get("/records/instruments/I-T1/").content.decode()


def test_below_the_number_of_holes_in_force_it_says_so(few, as_person):
    Rule.objects.filter(key="agreement_least_holes").update(value="4")
    assert "Too few to tell: 3 trial holes, and 4 are wanted." in as_person("P-SAF").get("/agreement/").content.decode()


def test_without_a_hole_the_page_says_what_to_do(scene, as_person):
    assert "There is no trial hole yet" in as_person("P-SAF").get("/agreement/").content.decode()


def test_the_number_of_queries_does_not_grow_with_the_holes(few, as_person):
    def queries():
        with CaptureQueriesContext(connection) as made:
            assert client.get("/agreement/").status_code == 200
        return len(made)

    client = as_person("P-SAF")
    before = queries()
    for number in range(20):
        exposed(f"N{number}", "0.9")
    assert queries() == before


def test_the_first_page_of_the_safety_manager_leads_there(scene, as_person):
    assert 'href="/agreement/"' in as_person("P-SAF").get("/").content.decode()
