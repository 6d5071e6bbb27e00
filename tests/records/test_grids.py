"""A site's grid on record: what may be entered, how it is put right, and when it no longer changes."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from locates.grids.models import Grid
from locates.surveys.models import Locate
from records import clock
from records.exchange.entering import enter
from records.firm.models import Person
from records.ledger.chain import Actor
from records.ledger.models import Entry
from tests import cast
from tests.register import changed, loaded, places, register, says

pytestmark = pytest.mark.django_db
GRID = {"site": "S-1", "crs": "EPSG:32632", "east_0": "500000", "north_0": "5300000.25", "turned_deg": ""}


@pytest.fixture
def office(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: cast.AT)
    cast.everything()
    client = Client()
    client.force_login(Person.objects.get(person="P-SAF"))
    return client


def faults(answered):
    return dict(answered.context["form"].errors)


def put_right(office, **cells):
    page = office.get(reverse("correct", args=["grids", "S-1"]))
    return office.post(reverse("correct", args=["grids", "S-1"]), {**GRID, "seen": page.context["seen"], "why": "misread", **cells})


def entered(at=cast.RECORDED - timedelta(days=1)):
    Grid.objects.create(site_id="S-1", crs="EPSG:32632", east_0=500_000, north_0=5_300_000, recorded_at=at)


# entering


def test_a_grid_is_entered_for_its_site(office):
    assert office.post("/enter/grids/", GRID).headers["Location"] == "/records/grids/S-1/"
    grid = Grid.objects.get()
    assert (grid.crs, grid.north_0, grid.turned_deg) == ("EPSG:32632", Decimal("5300000.25"), None)
    assert (Entry.objects.get().act, Entry.objects.get().subject_id) == ("grid.recorded", "S-1")


@pytest.mark.parametrize(
    ("column", "cells", "says"),
    [
        ("crs", {"crs": "EPSG:4326"}, "is not projected"),
        ("crs", {"crs": "EPSG:2263"}, "not in metres"),
        ("crs", {"crs": "EPSG:999999"}, "not a known coordinate system"),
        ("crs", {"east_0": "5300000", "north_0": "500000"}, "With east_0 and north_0 exchanged"),
        ("east_0", {"east_0": "29000000", "crs": "EPSG:2193"}, "nowhere on the Earth"),
        ("turned_deg", {"turned_deg": "360"}, "below 360"),
        ("site", {"site": "S-77"}, "not one of the available choices"),
    ],
)
def test_what_does_not_serve_is_said_at_its_field(office, column, cells, says):
    told = faults(office.post("/enter/grids/", GRID | cells))
    assert list(told) == [column]
    assert says in told[column][0]


def test_a_site_has_one_grid(office):
    entered()
    assert "S-1 is taken" in faults(office.post("/enter/grids/", GRID))["site"][0]


def test_the_site_s_page_shows_its_grid_or_says_what_to_do(office):
    page = office.get("/records/sites/S-1/").content.decode()
    assert "Not entered: positions told by satellites" in page
    assert "/enter/grids/?site=S-1" in page
    entered()
    page = office.get("/records/sites/S-1/").content.decode()
    assert "WGS 84 / UTM zone 32N" in page
    assert "/enter/grids/?site=S-1" not in page


def test_the_form_begins_with_the_site_that_its_page_names(office):
    assert office.get("/enter/grids/?site=S-1").context["form"]["site"].value() == "S-1"


# put right


def test_a_grid_is_put_right_with_a_reason_while_no_finished_locate_rests_on_it(office):
    entered(cast.AT)
    put_right(office, east_0="500010", turned_deg="30")
    grid, entry = Grid.objects.get(), Entry.objects.last()
    assert (grid.east_0, grid.turned_deg) == (500_010, 30)
    assert (entry.act, entry.why) == ("grid.changed", "misread")


def test_a_grid_on_which_a_finished_locate_rests_does_not_change(office):
    entered()
    page = office.get("/records/grids/S-1/").content.decode()
    assert "It no longer changes: the finished locate L-1 rests on it" in page
    for cells in ({"east_0": "1"}, {"turned_deg": "30"}):
        put_right(office, **cells)
    assert (Grid.objects.get().east_0, Grid.objects.get().turned_deg) == (500_000, None)


def test_a_locate_under_way_holds_nothing_until_it_is_finished(office):
    entered(cast.AT)
    Locate.objects.create(locate="L-2", site_id="S-1", operator_id="P-OPE", receiver_id="I-R1", started_at=cast.AT, recorded_at=cast.AT)
    put_right(office, east_0="500010")
    assert Grid.objects.get().east_0 == 500_010
    Locate.objects.filter(locate="L-2").update(finished_at=cast.AT + timedelta(hours=1))
    put_right(office, east_0="500020")
    assert Grid.objects.get().east_0 == 500_010


def test_nor_does_it_change_behind_the_form_s_back(office):
    entered()
    for cells in ({"east_0": "500010"}, {"turned_deg": "30"}):
        done = enter([("grids.csv", [GRID | {"north_0": "5300000"} | cells])], Actor("P-SAF", "Hana Petros"), cast.AT, why="misread", mending=True)
        assert [(one.column, "the finished locate L-1 rests on grid S-1" in one.says) for one in done.problems] == [(next(iter(cells)), True)]


# as a register file


def test_a_file_changes_no_grid_and_fills_no_turn_in(tmp_path):
    assert says(loaded(tmp_path / "one", register())) == ""
    moved = changed("grids", "S1", east_0="1750001")
    turned = changed("grids", "S2", turned_deg="3")
    assert places(loaded(tmp_path / "two", {"grids": moved["grids"]})) == [("grids.csv", 2, "east_0")]
    assert places(loaded(tmp_path / "three", {"grids": turned["grids"]})) == [("grids.csv", 3, "turned_deg")]


def test_a_turn_of_nought_is_no_change_of_a_blank_one(tmp_path):
    loaded(tmp_path / "one", register())
    assert says(loaded(tmp_path / "two", {"grids": changed("grids", "S2", turned_deg="0")["grids"]})) == ""
