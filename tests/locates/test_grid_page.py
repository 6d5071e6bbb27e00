"""The page of a site's grid: how it lies, and a position tried either way round."""

import re

import pytest
from django.test import Client

from locates.grids.models import Grid
from records import clock
from records.firm.models import Person
from tests import cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(monkeypatch):
    """What the page says to the operator of the site, asked so."""
    monkeypatch.setattr(clock, "now", lambda: cast.AT)
    cast.everything()
    Grid.objects.create(site_id="S-1", crs="EPSG:27700", east_0=400_000, north_0=300_000, recorded_at=cast.AT)
    client = Client()
    client.force_login(Person.objects.get(person="P-OPE"))

    def asked(**position):
        answered = client.get("/grids/S-1/", position)
        assert answered.status_code == 200
        return re.sub(r"<[^>]+>", "", " ".join(answered.content.decode().split()))

    return asked


def test_the_origin_goes_there_and_back(page):
    lon, lat = re.search(r"longitude (-?[\d.]+), latitude ([\d.]+) degrees", page(x="0", y="0")).groups()
    x, y = re.search(r"x (-?[\d.]+), y (-?[\d.]+) metres", page(lon=lon, lat=lat)).groups()
    assert (abs(float(x)), abs(float(y))) == pytest.approx((0, 0), abs=0.002)


def test_the_accuracy_without_files_is_told_and_that_a_file_would_do_better(page):
    said = page()
    assert "Its registry states 2 m. That is no limit" in said
    assert "needs a file, which is not used" in said
    assert "longitude -9.01 to 2.01, latitude 49.75 to 61.01" in said


@pytest.mark.parametrize(
    ("position", "says"),
    [
        ({"lon": "-2", "lat": "95"}, "less than or equal to 90"),
        ({"lon": "52.6", "lat": "-2"}, "over 100 km from the origin"),
        ({"lon": "", "lat": "52"}, "This field is required"),
        ({"lon": "nan", "lat": "52"}, "Enter a number"),
        ({"x": "100001", "y": "0"}, "less than or equal to 100000"),
    ],
)
def test_a_position_that_is_none_is_said_at_its_field(page, position, says):
    said = page(**position)
    assert says in said
    assert "metres in the site’s grid" not in said


def test_a_system_that_this_machine_does_not_know_is_said_so(page):
    Grid.objects.update(crs="EPSG:999999")
    assert "cannot be used on this machine: 'EPSG:999999' is not a known coordinate system" in page().replace("&#x27;", "'")
