"""From the Earth into a site's grid and back, and what a grid may not be."""

import subprocess
import sys
from decimal import Decimal
from math import cos, hypot, radians, sin
from types import SimpleNamespace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from locates.grids.rules import systems
from locates.grids.rules.projection import projection
from locates.grids.rules.systems import SYSTEM, TURNED, finer, ways
from locates.grids.rules.words import accuracy_says, lie_says
from locates.grids.rules.wrongs import grid_wrongs
from records.rules.text import Unfit
from tests.house.source import ROOT

NZTM, UTM_32, GREAT_BRITAIN = "EPSG:2193", "EPSG:32632", "EPSG:27700"
AT_SEA = (NZTM, 1_600_000, 5_400_000)
near = st.floats(-1000, 1000)
unhurried = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # to look a system up takes its time
turns = st.floats(0, 359.9)


def grid(crs, east, north, turned=None):
    return SimpleNamespace(crs=crs, east_0=Decimal(east), north_0=Decimal(north), turned_deg=turned)


def said_of(*given):
    return [(wrong.column, wrong.says) for wrong in grid_wrongs(grid(*given))]


@unhurried
@given(near, near, turns)
def test_there_and_back_is_where_one_was(x, y, turned):
    made = projection(*AT_SEA, turned)
    back = made.to_site(*made.to_earth(x, y))
    assert hypot(back[0] - x, back[1] - y) < 0.001


def test_the_origin_is_where_it_was_said_to_be():
    made = projection(UTM_32, 500_000, 5_300_000)
    lon, lat = made.to_earth(0, 0)
    assert lon == pytest.approx(9, abs=1e-9)  # the zone's own meridian
    assert made.to_site(lon, lat) == pytest.approx((0, 0), abs=1e-4)


def test_x_runs_east_and_y_north_also_where_the_system_names_the_northing_first():
    made = projection(*AT_SEA)
    lon, lat = made.to_earth(0, 0)
    assert made.to_site(lon + 0.001, lat)[0] > 50
    assert made.to_site(lon, lat + 0.001)[1] > 100


@unhurried
@given(turns)
def test_a_turned_grid_points_its_y_axis_clockwise_of_the_system_s_north(turned):
    plain, made = projection(*AT_SEA), projection(*AT_SEA, turned)
    east, north = plain.to_site(*made.to_earth(0, 100))
    assert (east, north) == pytest.approx((100 * sin(radians(turned)), 100 * cos(radians(turned))), abs=0.001)


def test_many_positions_come_in_as_one_by_one():
    made = projection(*AT_SEA, 30)
    positions = [made.to_earth(x, 2 * x) for x in range(0, 500, 50)]
    assert made.all_to_site(positions) == [made.to_site(*one) for one in positions]
    assert made.all_to_site([]) == []


@pytest.mark.parametrize(("position", "says"), [((181, 0), "is no position"), ((float("nan"), 0), "is no position"), ((20, 60), "over 100 km")])
def test_a_position_that_is_none_or_far_off_is_refused(position, says):
    with pytest.raises(Unfit, match=says):
        projection(*AT_SEA).to_site(*position)


def test_a_point_out_of_the_grid_is_refused():
    with pytest.raises(Unfit, match="out of the site's grid"):
        projection(*AT_SEA).to_earth(100_001, 0)


# the straight approximation


@unhurried
@given(st.floats(0, 1), st.floats(0, 360), turns)
def test_the_straight_approximation_is_as_good_as_it_says(share, bearing, turned):
    exact = projection(UTM_32, 690_000, 7_300_000, turned)  # far north, near the zone's edge: the worst of it
    straight = exact.affine((300, -200), 500)
    x, y = 300 + share * 480 * sin(radians(bearing)), -200 + share * 480 * cos(radians(bearing))
    u, v = straight.to_site(*exact.to_earth(x, y))
    assert hypot(u - x, v - y) <= straight.good_within_m < 0.2


def test_the_approximation_is_better_over_less_ground():
    made = projection(*AT_SEA)
    assert made.affine((0, 0), 50).good_within_m < made.affine((0, 0), 2000).good_within_m / 100


def test_the_approximation_is_told_with_its_own_origin_and_error():
    told = projection(*AT_SEA).affine((10, 20), 200).told()
    a, *_ = told["affine"]
    assert (a, told["affine"][3]) == pytest.approx((10, 20), abs=0.001)
    assert told.keys() == {"affine", "from", "good_within_m", "radius_m"}


def test_the_approximation_holds_across_the_180th_meridian():
    made = projection("EPSG:32701", 214_000, 6_000_000)
    straight = made.affine((-35_000, 0), 5_000)
    lon, lat = made.to_earth(-36_000, 500)
    assert hypot(*(one - other for one, other in zip(straight.to_site(lon, lat), (-36_000, 500), strict=True))) <= straight.good_within_m


# what serves


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("EPSG:4326", "is not projected \\(geographic 2d\\)"),
        ("EPSG:2263", "is in US survey foot, not in metres"),
        ("EPSG:999999", "is not a known coordinate system"),
        ("somewhere", "names no coordinate system"),
        ("2193", "names no coordinate system"),
        ("EPSG:7405", "has heights too"),
        ("EPSG:2053", "run west and south"),
        ("EPSG:3031", "run north and north"),
        ("+proj=utm +zone=60 +south +ellps=GRS80 +units=m", "nothing tells how .* lies to WGS 84"),
        ("+proj=tmerc +lon_0=9 +ellps=bessel +nadgrids=/etc/passwd +units=m", "needs files"),
        ("PROJCRS[nonsense", "is not a known coordinate system"),
    ],
)
def test_a_system_that_does_not_serve_is_refused_with_the_reason(text, says):
    with pytest.raises(Unfit, match=says):
        SYSTEM.read(text)


@pytest.mark.parametrize(
    "text", ["EPSG:27700", "EPSG:2154", "EPSG:31467", "EPSG:5514", "+proj=utm +zone=60 +south +datum=WGS84", systems.system(NZTM).to_wkt()]
)
def test_a_projected_system_in_metres_serves(text):
    assert SYSTEM.read(text) == text


def test_a_code_is_kept_in_capitals():
    assert SYSTEM.read("epsg:2193") == NZTM


def test_an_origin_out_of_the_system_s_area_is_said_of_the_system():
    [(column, says)] = said_of(NZTM, 1_600_000, 2_000_000)
    assert column == "crs"
    assert "out of the area of use of NZGD2000" in says


def test_eastings_and_northings_exchanged_are_suspected():
    [(_, says)] = said_of(UTM_32, 5_300_000, 500_000)
    assert says.endswith("With east_0 and north_0 exchanged it would lie within")


def test_a_system_that_stretches_the_ground_is_refused():
    [(column, says)] = said_of("EPSG:3857", 1_000_000, 6_000_000)
    assert (column, "is 0.6" in says) == ("crs", True)


def test_a_grid_that_fits_has_nothing_wrong():
    assert said_of(NZTM, 1_600_000, 5_400_000, Decimal(30)) == []
    assert said_of("", 1_600_000, 5_400_000) == []


def test_a_blank_turn_is_a_turn_of_nought_and_not_one_left_open():
    assert TURNED.same(None, Decimal(0))
    assert not TURNED.same(None, Decimal(30))
    assert TURNED.blank_says


# the change of datum


def test_no_way_uses_a_file_and_the_finer_one_is_named():
    assert all("grids" not in way.transformer.definition for way in ways(GREAT_BRITAIN))
    assert finer(GREAT_BRITAIN)[0][1] == 1.0


def test_the_best_way_for_where_the_site_lies_is_taken():
    coast = projection("EPSG:5514", -600_000, -1_200_000)
    assert "S-JTSK to WGS 84 (1)" in coast.way.name or "S-JTSK to WGS 84 (4)" in coast.way.name or "S-JTSK to WGS 84 (5)" in coast.way.name
    assert coast.way.accuracy_m == 1.0


def test_how_the_grid_lies_is_told():
    lie = projection(GREAT_BRITAIN, 400_000, 300_000, 30).lie()
    assert (lie.accuracy_m, lie.finer[0][1]) == (2.0, 1.0)
    assert lie.bearing_deg == pytest.approx(30, abs=0.01)
    assert lie.area == pytest.approx((-9.01, 49.75, 2.01, 61.01))


def test_the_length_of_a_grid_metre_is_told():
    assert projection(UTM_32, 500_000, 5_300_000).lie().metre_m == pytest.approx(1 / 0.9996, abs=1e-6)  # on the zone's own meridian


def test_neither_the_network_nor_another_machine_s_settings_change_an_answer(tmp_path):
    code = """
import socket
def refuse(*_): raise SystemExit("the network was asked")
socket.socket.connect = refuse
from pyproj import network
from locates.grids.rules.projection import projection
print(projection("EPSG:27700", 400000, 300000).to_site(-1.99, 52.6), network.is_network_enabled())
"""
    asked = {"PROJ_NETWORK": "ON", "PROJ_USER_WRITABLE_DIRECTORY": str(tmp_path), "HOME": str(tmp_path)}
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, env=asked, capture_output=True, text=True, check=False)
    here = projection(GREAT_BRITAIN, 400_000, 300_000).to_site(-1.99, 52.6)
    assert done.stdout == f"{here} False\n", done.stderr


@pytest.mark.parametrize(
    ("crs", "says"),
    [(UTM_32, "stands on WGS 84 itself"), ("EPSG:28355", "states 3 m"), ("+proj=tmerc +lon_0=9 +x_0=500000 +ellps=bessel +towgs84=598,73,418", "Not stated")],
)
def test_how_good_the_change_of_datum_is_is_said(crs, says):
    assert says in accuracy_says(projection(crs, 500_000, 5_300_000).lie())


@pytest.mark.parametrize(("turned", "says"), [(0, "to true north"), (12.5, "12.50° clockwise of true north"), (350, "10.00° anticlockwise of true north")])
def test_where_the_y_axis_points_is_said_from_true_north(turned, says):
    assert dict(lie_says(projection(UTM_32, 500_000, 5_300_000, turned).lie()))["The y axis points"] == says


def test_the_change_of_datum_is_named_without_the_projection():
    told = [dict(lie_says(projection(*given).lie()))["Change of datum"] for given in ((UTM_32, 500_000, 5_300_000), (GREAT_BRITAIN, 400_000, 300_000))]
    assert told == ["none", "Inverse of OSGB36 to WGS 84 (6)"]


def test_what_is_said_of_lengths_is_by_how_much_a_hundred_metres_are_off():
    assert dict(lie_says(projection(UTM_32, 500_000, 5_300_000).lie()))["Lengths"] == "100 m of the grid are 40 mm more at sea level"
