"""A track file brought into a site's metres on a page, and taken from there into a form."""

import json
import re
from html import unescape
from urllib.parse import parse_qs, urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from locates.grids.models import Grid
from records import clock
from records.firm.models import Person
from records.ledger.models import Entry
from tests import cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def grid(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: cast.AT)
    cast.everything()
    return Grid.objects.create(site_id="S-1", crs="EPSG:32632", east_0=500_000, north_0=7_000_000, recorded_at=cast.AT).projection()


def client_of(person):
    client = Client()
    client.force_login(Person.objects.get(person=person))
    return client


def track(grid, kind, *points, name="kerb"):
    places = [list(grid.to_earth(*point)) for point in points]
    coordinates = {"Point": places[0], "LineString": places, "Polygon": [places]}[kind]
    return {"type": "Feature", "geometry": {"type": kind, "coordinates": coordinates}, "properties": {"name": name}}


def handed(person, *features, data=None, address="/grids/S-1/track/", **fields):
    data = data if data is not None else json.dumps({"type": "FeatureCollection", "features": features}).encode()
    return client_of(person).post(address, {"file": SimpleUploadedFile("track.json", data), **fields})


def links(answered):
    return {words: unescape(leads) for leads, words in re.findall(r'<a href="([^"]+)">(Take it as [^<]+)</a>', answered.content.decode())}


def test_a_line_is_shown_in_the_sites_metres_and_nothing_is_stored(grid):
    answered = handed("P-OPE", track(grid, "LineString", (0, 0), (3, 4), (3, 10)))
    said = answered.content.decode()
    assert "Line kerb, 11.0 m, accuracy not stated" in said
    assert ">0 0\n3 4\n3 10</textarea>" in said
    assert Entry.objects.count() == 0


def test_a_shape_is_taken_into_the_form_that_it_fits(grid):
    answered = handed(
        "P-OPE", track(grid, "LineString", (0, 0), (3, 4)), track(grid, "Polygon", (0, 0), (3, 0), (3, 4), (0, 0)), track(grid, "Point", (1.5, -2))
    )
    found = links(answered)
    assert parse_qs(urlsplit(found["Take it as a trace"]).query) == {"line": ["0 0\n3 4"]}
    assert parse_qs(urlsplit(found["Take it as a trial hole"]).query) == {"x": ["1.5"], "y": ["-2"]}
    form = client_of("P-OPE").get(found["Take it as a sweep"]).context["form"]
    assert form["area"].value() == "0 0\n3 0\n3 4"


def test_what_is_taken_for_a_locate_goes_to_that_locate(grid):
    found = links(handed("P-OPE", track(grid, "LineString", (0, 0), (3, 4)), track(grid, "Point", (1, 2)), address="/grids/S-1/track/?locate=L-2"))
    asked = {words: parse_qs(urlsplit(leads).query) for words, leads in found.items()}
    assert asked["Take it as a trace"] == {"line": ["0 0\n3 4"], "locate": ["L-2"]}
    assert asked["Take it as a trial hole"]["locate"] == ["L-2"]


def test_only_what_a_person_may_enter_is_offered_to_them(grid):
    assert "Take it as an enquiry" not in links(handed("P-OPE", track(grid, "Polygon", (0, 0), (3, 0), (3, 4), (0, 0))))
    found = links(handed("P-ISS", track(grid, "Polygon", (0, 0), (3, 0), (3, 4), (0, 0))))
    assert parse_qs(urlsplit(found["Take it as an enquiry"]).query) == {"area": ["0 0\n3 0\n3 4"], "site": ["S-1"]}


def test_a_line_too_long_for_an_address_is_there_to_copy(grid):
    answered = handed("P-OPE", track(grid, "LineString", *[(n, n % 7) for n in range(900)]))
    assert links(answered) == {}
    assert "Copy it into the field" in answered.content.decode()


def test_thinning_is_asked_for_and_said(grid):
    points = [(n / 10, (n % 2) / 100) for n in range(200)]
    assert "2 of 200 points are kept" in handed("P-OPE", track(grid, "LineString", *points), thin="0.02").content.decode()
    assert "less than or equal to 1" in handed("P-OPE", track(grid, "LineString", *points), thin="2").content.decode()


def test_what_lies_elsewhere_is_said_to_be_left_out(grid):
    far = {"type": "Feature", "geometry": {"type": "Point", "coordinates": [170, -45]}, "properties": {"name": "<b>far</b>"}}
    said = handed("P-OPE", far).content.decode()
    assert "Point &lt;b&gt;far&lt;/b&gt; is left out: 170 -45 lies over 100 km" in said
    assert "Nothing in it lies at this site" in said


@pytest.mark.parametrize(
    ("data", "says"),
    [(b"", "GPX 1.1 or GeoJSON was expected"), (b"<!DOCTYPE a [<!ENTITY b 'c'>]><a>&b;</a>", "are not read"), (b"<" + b" " * 5_300_000, "at most 5 MB")],
)
def test_a_file_that_is_no_track_is_said_at_its_field(grid, data, says):
    answered = handed("P-OPE", data=data)
    assert says in answered.context["form"].errors["file"][0]


def test_without_a_file_it_is_said(grid):
    assert client_of("P-OPE").post("/grids/S-1/track/", {"thin": ""}).context["form"].errors["file"] == ["This field is required."]
