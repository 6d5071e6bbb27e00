"""The pages of logs: beside the locate, on its leaf, in the list of what differs; who sees them; how many queries they take."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from locates.grids.models import Grid
from locates.logs.facts import exposure
from locates.logs.models import Log
from locates.surveys.models import Locate
from records.firm.models import Person, Rule, RuleSet, Site
from tests import cast
from tests.elsewhere import elsewhere, logged, near
from tests.logs.walked import BEGUN, COLUMNS, EVERYWHERE, WRITTEN, chosen, kept, mapped, meanings, rows, text, token

pytestmark = pytest.mark.usefixtures("scene")
NEAR = [(x, y) for x, y in EVERYWHERE if x < 106]


def says(page):
    return [one.says for one in page.context["compared"].differences]


def test_a_log_that_shows_all_that_is_claimed_differs_in_nothing(as_person):
    page = kept(as_person("P-OPE"))
    assert says(page) == []
    assert "That is no proof that the ground was well searched." in page.content.decode()


def test_a_technique_that_is_not_in_the_log_is_told(as_person):
    assert says(kept(as_person("P-OPE"), text(rows(("P50", "R"))))) == ["Induction is claimed by sweep SW-5, and the log never was in that mode."]


def test_ground_where_the_log_never_was_is_told_and_drawn(as_person):
    page = kept(as_person("P-OPE"), text(rows(("P50", "IND")), rows(("R",), NEAR, BEGUN + timedelta(hours=1))))
    assert [one.partition(", ")[2] for one in says(page)] == ["102.6 m² lie farther than 1 m from every reading of the log in that mode."]
    assert page.content.decode().count('<svg xmlns="http://www.w3.org/2000/svg" role="img"') == 3
    assert "claimed, and the log never was near: 102.6 m²" in page.content.decode()


def test_how_far_a_reading_reaches_is_a_number_of_the_rule_set(as_person):
    RuleSet.objects.create(rule_set="wide", recorded_at=cast.RECORDED)
    day = {"effective_from": "2027-01-01", "source": "the firm's own", "recorded_at": cast.RECORDED}
    Rule.objects.create(rule_set_id="wide", key="log_reach_m", value="10", **day)
    Site.objects.filter(site="S-1").update(rule_set="wide")
    page = kept(as_person("P-OPE"), text(rows(("P50", "IND")), rows(("R",), NEAR, BEGUN + timedelta(hours=1))))
    assert says(page) == []
    assert "within 10 m of a reading" in page.content.decode()


def test_readings_of_the_day_before_are_told_and_their_ground_does_not_count(as_person):
    page = kept(as_person("P-OPE"), text(rows(begun=BEGUN - timedelta(hours=9))))
    assert says(page)[3:] == [
        "The log begins 2 Mar 2027 22:30 UTC+13:00, 9 h before the locate did.",
        "780 readings are of another day than the locate: 2 Mar 2027.",
    ]
    assert [one.code for one in page.context["compared"].differences[:3]] == ["technique.outside"] * 3


def test_a_log_without_positions_tells_times_alone(as_person):
    client = as_person("P-OPE")
    where = mapped(client, text(), columns=COLUMNS | {"position": "none", "x": "", "y": ""})
    page = client.post(where, meanings(client.get(where)), follow=True)
    assert says(page) == []
    assert "the log does not say where it was" in page.content.decode() and "<figure" not in page.content.decode()


def test_longitude_and_latitude_come_into_the_site_s_grid_where_it_is_told(as_person):
    client = as_person("P-OPE")
    grid = Grid.objects.create(site_id="S-1", crs="EPSG:2193", east_0=1756900, north_0=5920900, recorded_at=cast.RECORDED)
    to_earth = grid.projection().to_earth
    points = [to_earth(x + 0.5, y) for y in range(95, 108) for x in range(95, 115)]
    page = kept_on_earth(client, points)
    assert says(page) == []
    assert page.context["compared"].figures[0].seen.bounds == pytest.approx((94.5, 94, 115.5, 108), abs=0.02)


def kept_on_earth(client, points):
    where = mapped(client, text(rows(points=points)), columns=COLUMNS | {"position": "lonlat"})
    return client.post(where, meanings(client.get(where)), follow=True)


def test_a_struck_log_no_longer_counts_and_tells_why(as_person):
    client = as_person("P-OPE")
    page = kept(client, text(rows(("P50",))))
    assert len(says(page)) == 2
    file = page.context["log"].file_id
    client.post(f"/correct/locates/L-1/file/{file}/strike/", {"why": "of another yard"})
    page = client.get("/logs/LG-1/")
    assert page.context["compared"] is None and "of another yard" in page.content.decode()
    assert exposure(Person.objects.get(pk="P-SAF"), cast.AT)["of"] == 0


def test_logs_of_one_locate_count_together(as_person):
    client = as_person("P-OPE")
    kept(client, text(rows(("P50", "R"))))
    page = kept(client, text(rows(("IND",), begun=BEGUN + timedelta(hours=1))))
    assert (says(page), [one.pk for one in page.context["others"]]) == ([], ["LG-1"])


def test_the_locate_s_own_page_shows_its_logs_and_offers_to_add_one(as_person):
    client = as_person("P-OPE")
    assert "/logs/add/L-1/" in client.get("/records/locates/L-1/").content.decode()
    kept(client, text(rows(("P50", "R"))))
    page = client.get("/records/locates/L-1/").content.decode()
    assert "/logs/LG-1/" in page and "Induction is claimed by sweep SW-5" in page


def test_the_file_itself_is_given_to_who_may_see_the_locate(as_person):
    client = as_person("P-OPE")
    address = f"/files/{kept(client).context['log'].file_id}/"
    given = client.get(address)
    assert (given.headers["Content-Type"], b"".join(given.streaming_content).decode()) == ("text/csv", text())
    assert as_person("P-FAR").get(address).status_code == 404


def test_the_list_shows_what_differs_and_all_on_request_with_its_csv(as_person):
    office = as_person("P-SAF")
    assert "differs from its locate" in office.get("/logs/").content.decode()
    kept(office)
    assert [line.compared.locate.pk for line in office.get("/logs/").context["page"].object_list] == []
    assert [line.compared.locate.pk for line in office.get("/logs/?show=all").context["page"].object_list] == ["L-1"]
    kept(office, text(rows(("P50",), begun=BEGUN + timedelta(hours=9))))
    told = b"".join(office.get("/logs.csv").streaming_content).decode().splitlines()
    assert told[1].startswith('L-1,S-1,2027-03-03,P-OPE,LG-1;LG-2,"The log ends 3 Mar 2027 16:38')
    assert exposure(Person.objects.get(pk="P-SAF"), cast.AT) == {"differ": 1, "of": 1, "leads": "/logs/"}


@pytest.mark.parametrize("asked", ["?sort=most", "?sort=begun", "?sort=locate", "?site=S-1", "?since=2027-03-01", "?since=nonsense", "?page=9&show=all"])
def test_the_list_sorts_and_narrows(as_person, asked):
    elsewhere()
    near()
    logged()
    page = as_person("P-SAF").get(f"/logs/{asked}").context["page"]
    assert {line.compared.locate.pk for line in page.object_list} <= {"L-2", "L-9"}
    assert page.paginator.count == (1 if "site" in asked else 2)


def test_a_supervisor_sees_the_logs_of_their_own_sites_and_an_operator_their_own(as_person):
    elsewhere()
    near()
    logged()
    seen = {person: [one.compared.locate.pk for one in as_person(person).get("/logs/").context["page"].object_list] for person in ("P-ISS", "P-FAR", "P-CR1")}
    assert seen == {"P-ISS": ["L-2"], "P-FAR": ["L-9"], "P-CR1": []}


def test_queries_do_not_grow_with_logs(as_person):
    elsewhere()
    near()
    logged()
    office = as_person("P-SAF")
    office.get("/logs/")
    with CaptureQueriesContext(connection) as few:
        office.get("/logs/?show=all")
    for number in range(12):
        locate = Locate.objects.get(locate="L-2")
        locate.pk = f"L-2{number}"
        locate.save(force_insert=True)
        log = Log.objects.select_related("file").get(log="LG-2")
        file = log.file
        file.pk = f"file-{number}"
        file.save(force_insert=True)
        Log(log=f"LG-2{number}", locate=locate, layout_id="LY-1", file=file, shows=log.shows, recorded_at=cast.RECORDED).save(force_insert=True)
    with CaptureQueriesContext(connection) as many:
        assert office.get("/logs/?show=all").context["page"].paginator.count == 14
    assert len(many) == len(few)


def test_a_stranger_may_add_no_log(as_person):
    assert as_person("P-FAR").get("/logs/add/L-1/").status_code == 404
    assert as_person("P-CR2").post("/logs/add/L-1/", {}).status_code == 404


def test_choices_survive_going_back(as_person):
    client = as_person("P-OPE")
    page = client.get(mapped(client, text()))
    back = client.get(f"/logs/add/L-1/map/?{page.context['again']}")
    assert back.context["mapped"].columns["time_form"].value() == "day_first"
    assert token(chosen(client, text())) and back.context["mapped"].written["delimiter"].value() == WRITTEN["delimiter"]
