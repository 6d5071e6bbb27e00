"""A locate is finished by its operator alone, and what two people change at once is lost to neither; the sketch and the ground beside it; who sees it."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from locates.fieldwork.models import FieldSheet
from locates.surveys.models import Locate, Sweep
from records.firm.models import Person
from tests import cast
from tests.journeys.locating import SHEET, SWEEP, TRACE, begun, finished, handed, text_of, whole

pytestmark = pytest.mark.usefixtures("scene")


def test_it_is_finished_short_only_with_a_reason(as_person, hands):
    client = as_person("P-OPE")
    begun(client)
    hands.at = cast.AT + timedelta(hours=1)
    assert finished(client).status_code == 422
    assert Locate.objects.get(pk=FieldSheet.objects.get().locate_id).finished_at is None
    finished(client, short_of="thunder: we left the verge")
    sheet = FieldSheet.objects.select_related("locate").get()
    assert (sheet.short_of, sheet.locate.finished_at) == ("thunder: we left the verge", hands.at)
    leaf = text_of(client.get(f"/records/locates/{sheet.locate_id}/"))
    assert "Why finished although something was missing" in leaf and "thunder: we left the verge" in leaf


@pytest.mark.parametrize("password", ["", "not it"])
def test_only_the_right_password_finishes_it(as_person, hands, password):
    client = as_person("P-OPE")
    whole(client)
    hands.at = cast.AT + timedelta(hours=1)
    answer = handed(client, "finish", password=password)
    assert answer.status_code == 422
    assert FieldSheet.objects.select_related("locate").get().locate.finished_at is None


def test_nobody_finishes_it_for_another(as_person, hands):
    whole(as_person("P-OPE"))
    hands.at = cast.AT + timedelta(hours=1)
    answer = as_person("P-ISS").post(f"/field/{SHEET}/finish/", {"password": cast.PASSWORD}, follow=True)
    assert "Only Olu Hale, who makes this locate, can finish it." in text_of(answer)
    assert FieldSheet.objects.select_related("locate").get().locate.finished_at is None


def test_somebody_elses_change_is_told_and_nothing_is_lost(as_person):
    mine = as_person("P-OPE")
    begun(mine)
    seen = mine.get(f"/field/{SHEET}/").context["seen"]["dig"]
    changed = {"outline": "100 100\n120 100\n120 102\n100 102", "depth_m": "2", "method": "hand"}
    as_person("P-ISS").post(f"/field/{SHEET}/dig/", changed | {"seen": seen})
    answer = handed(mine, "dig", outline="100 100\n105 100\n105 102", depth_m="1", method="hand", seen=seen)
    assert answer.status_code == 409 and "somebody else changed this" in text_of(answer)
    assert FieldSheet.objects.get().depth_m == 2
    handed(mine, "dig", outline="100 100\n105 100\n105 102", depth_m="1", method="hand", seen=seen, anyway="1")
    assert FieldSheet.objects.get().depth_m == 1


def test_ones_own_change_from_an_older_page_is_no_clash(as_person):
    client = as_person("P-OPE")
    begun(client)
    seen = client.get(f"/field/{SHEET}/").context["seen"]["dig"]
    for depth in ("1.5", "1.7"):
        handed(client, "dig", outline="100 100\n105 100\n105 102", depth_m=depth, method="hand", seen=seen)
    assert str(FieldSheet.objects.get().depth_m) == "1.700"


def test_the_grounds_arithmetic_goes_with_what_is_being_drawn(as_person):
    client = as_person("P-OPE")
    begun(client)
    draft = {"what": "area", "technique": "passive_power", "shape": "99 99\n111 99\n111 101\n99 101", "bearing_deg": "0"}
    said = text_of(client.post(f"/field/{SHEET}/ground/", draft))
    assert "Passive power:" in said and "m² of the needed ground is not swept" in said
    whole_ground = {**draft, "shape": "95 95\n115 95\n115 107\n95 107", "across_deg": "90"}
    assert "Passive power: all of the needed ground is swept." in text_of(client.post(f"/field/{SHEET}/ground/", whole_ground))
    line = {"what": "line", "technique": "clamp", "utility": "gas", "quality_level": "B", "shape": "105 90\n105 110"}
    assert "0.00 m from the outline to its edge; " in text_of(client.post(f"/field/{SHEET}/ground/", line))
    assert "Nothing is drawn yet." in text_of(client.post(f"/field/{SHEET}/ground/", draft | {"shape": ""}))
    assert not Sweep.objects.exclude(locate="L-1").exists()


def test_the_sketch_shows_what_lies_there(as_person):
    client = as_person("P-OPE")
    whole(client)
    told = client.get(f"/field/{SHEET}/sketch.json").json()
    assert told["type"] == "FeatureCollection"
    kinds = {one["properties"]["kind"] for one in told["features"]}
    assert kinds == {"outline", "needed", "swept", "trace", "zone"}
    line = next(one for one in told["features"] if one["properties"]["kind"] == "trace")
    assert line["geometry"] == {"type": "LineString", "coordinates": [[105, 96], [105, 106]]}


@pytest.mark.parametrize("address", ["", "sketch.json", "ground/", "dig/", "finish/"])
@pytest.mark.parametrize("person", ["P-FAR", "P-CR1"])
def test_it_is_not_there_for_others(as_person, person, address):
    begun(as_person("P-OPE"))
    client = as_person(person)
    ask = client.get if address in ("", "sketch.json") else client.post
    assert ask(f"/field/{SHEET}/{address}").status_code == 404


def test_who_is_posted_nowhere_begins_nothing(as_person):
    client = as_person("P-FAR")
    assert "You are posted to no site" in text_of(client.get("/field/"))
    assert client.get("/field/begin/S-1/").status_code == 404
    assert as_person("P-CR1").get("/field/").status_code == 404


def test_the_list_tells_what_is_under_way(as_person):
    client = as_person("P-OPE")
    assert "You have no locate under way" in text_of(client.get("/field/"))
    begun(client)
    assert FieldSheet.objects.get().locate_id in text_of(client.get("/field/"))


def test_its_queries_do_not_grow_with_what_is_recorded(as_person):
    client = as_person("P-OPE")
    whole(client)
    with CaptureQueriesContext(connection) as before:
        client.get(f"/field/{SHEET}/")
    for _ in range(4):
        handed(client, "sweep", technique="passive_power", across_deg="0", **SWEEP)
        handed(client, "trace", **TRACE)
    with CaptureQueriesContext(connection) as after:
        client.get(f"/field/{SHEET}/")
    assert len(after) == len(before)


def test_the_begin_page_begins_with_the_last_kit(as_person):
    page = as_person("P-OPE").get("/field/begin/S-1/").content.decode()
    assert '<option value="I-R1" selected>' in page
    assert Person.objects.get(pk="P-OPE").name in page


def test_its_own_page_tells_for_years_what_the_sheet_said(as_person, hands):
    client = as_person("P-OPE")
    whole(client)
    hands.at = cast.AT + timedelta(hours=1)
    finished(client)
    leaf = text_of(client.get(f"/records/locates/{FieldSheet.objects.get().locate_id}/"))
    for said in ("Field sheet", "Plans at hand and looked at", "E-1, E-2", "paint, pegs", "both kerbs", "Marked at"):
        assert said in leaf
