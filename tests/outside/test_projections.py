"""The way into a site's grid against published coordinates of survey marks, published worked examples, and formulas written a second time."""

from math import asinh, atan2, atanh, cos, cosh, degrees, hypot, radians, sin, sinh, sqrt, tan

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from locates.grids.rules.projection import EARTH, projection

unhurried = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # to look a system up takes its time
# semi-major axis in metres and inverse flattening, as the systems define them
GRS_80, WGS_84, AIRY_1830 = (6_378_137.0, 298.257222101), (6_378_137.0, 298.257223563), (6_377_563.396, 299.3249646)


def dms(degree, minute, second):
    return (abs(degree) + minute / 60 + second / 3600) * (-1 if degree < 0 else 1)


def told(crs, mark, near):
    """Easting and northing by our way, from a grid whose origin lies some kilometres off."""
    x, y = projection(crs, *near).to_site(*mark)
    return (x + near[0], y + near[1])


# The Australian manual of the Geocentric Datum (Intergovernmental Committee on Surveying and Mapping, "GDA Technical Manual"): its test line from
# Flinders Peak to Buninyong, GDA94 longitude and latitude and MGA94 zone 55. The values are from memory.
FLINDERS, BUNINYONG = (dms(144, 25, 29.52440), dms(-37, 57, 3.72030)), (dms(143, 55, 35.38390), dms(-37, 39, 10.15610))


@pytest.mark.parametrize(("mark", "grid"), [(FLINDERS, (273_741.297, 5_796_489.777)), (BUNINYONG, (228_854.052, 5_828_259.038))])
def test_the_australian_test_line_lies_where_its_manual_has_it(mark, grid):
    assert told("EPSG:28355", mark, (250_000, 5_800_000)) == pytest.approx(grid, abs=0.001)


def test_length_and_bearing_on_the_ellipsoid_are_those_of_the_manual():
    """54 972.271 m at 306° 52' 05.37" from Flinders Peak: the same manual, from memory. The ellipsoids differ by a tenth of a millimetre in the axis."""
    bearing, _, length = EARTH.inv(*FLINDERS, *BUNINYONG)
    assert length == pytest.approx(54_972.271, abs=0.001)
    assert bearing % 360 == pytest.approx(dms(306, 52, 5.37), abs=1e-5)


# Land Information New Zealand, test points of the New Zealand Transverse Mercator 2000, degrees to six decimals (0.1 m). From memory.
NZTM = [
    ((172.739194, -34.444066), (1_576_041.150, 6_188_574.240)),
    ((172.723106, -40.512409), (1_576_542.010, 5_515_331.050)),
    ((169.172062, -46.651295), (1_307_103.220, 4_826_464.860)),
]


@pytest.mark.parametrize(("mark", "grid"), NZTM)
def test_the_new_zealand_test_points_lie_where_they_are_published(mark, grid):
    assert told("EPSG:2193", mark, (grid[0] - 5000, grid[1] + 3000)) == pytest.approx(grid, abs=0.1)


# Ordnance Survey, "A guide to coordinate systems in Great Britain": the worked example of its annex C, a position on the Airy ellipsoid and its
# National Grid coordinates; and the seven parameters from WGS 84 of its section 6.6 (metres, parts in a million, seconds). From memory.
WORKED = (dms(1, 43, 4.5177), dms(52, 39, 27.2531))
WORKED_GRID = (651_409.903, 313_177.270)
SHIFT, SCALE_PPM, TURN = (-446.448, 125.157, -542.060), 20.4894, (-0.1502, -0.2470, -0.8421)


def to_space(lon, lat, ellipsoid):
    """Earth-centred x, y, z of a point on the ellipsoid."""
    axis, flat = ellipsoid
    e2 = (2 - 1 / flat) / flat
    normal = axis / sqrt(1 - e2 * sin(radians(lat)) ** 2)
    return (
        normal * cos(radians(lat)) * cos(radians(lon)),
        normal * cos(radians(lat)) * sin(radians(lon)),
        normal * (1 - e2) * sin(radians(lat)),
    )


def from_space(x, y, z, ellipsoid):
    """Longitude and latitude, the height left aside: the latitude by repeated improvement."""
    axis, flat = ellipsoid
    e2, out = (2 - 1 / flat) / flat, hypot(x, y)
    lat = atan2(z, out * (1 - e2))
    for _ in range(20):
        lat = atan2(z + e2 * axis / sqrt(1 - e2 * sin(lat) ** 2) * sin(lat), out)
    return (degrees(atan2(y, x)), degrees(lat))


def off_the_grid_s_datum(lon, lat):
    """From the Airy ellipsoid back to WGS 84: the seven parameters with their signs turned, for small angles."""
    x, y, z = to_space(lon, lat, AIRY_1830)
    rx, ry, rz = (-radians(one / 3600) for one in TURN)
    scale = 1 - SCALE_PPM / 1e6
    dx, dy, dz = (-one for one in SHIFT)
    return from_space(dx + scale * x - rz * y + ry * z, dy + rz * x + scale * y - rx * z, dz - ry * x + rx * y + scale * z, WGS_84)


def test_the_british_worked_example_comes_out_through_the_published_change_of_datum():
    """The list of systems keeps the parameters with a digit less, which is some centimetres."""
    assert told("EPSG:27700", off_the_grid_s_datum(*WORKED), (650_000, 310_000)) == pytest.approx(WORKED_GRID, abs=0.05)


# Ordnance Survey, test points of the transformation OSTN15 (a grid file): ETRS89 longitude and latitude, and the exact National Grid. From memory.
BY_THE_FILE = [((-6.29977752014, 49.92226393730), (91_492.146, 11_318.804)), ((-5.20304609998, 49.96006137820), (170_370.718, 11_572.405))]


@pytest.mark.parametrize(("mark", "grid"), BY_THE_FILE)
def test_without_the_file_a_position_is_off_by_metres_and_the_stated_accuracy_is_no_limit(mark, grid):
    """What the grid's page says of it: 2 m are stated, and at these marks, at the country's corner, it is over twice as much."""
    made = projection("EPSG:27700", *grid)
    off = hypot(*made.to_site(*mark))
    assert made.way.accuracy_m == 2.0
    assert made.way.accuracy_m < off < 3 * made.way.accuracy_m


# the transverse Mercator projection written a second time: Krüger's series in the third flattening, after C. F. F. Karney, "Transverse Mercator with an
# accuracy of a few nanometers", Journal of Geodesy 85 (2011), equations 7 to 11 and 35, to the fourth power; the coefficients are from memory


def mercator(lon, lat, ellipsoid, meridian, scale):
    """Metres east of the meridian and north of the equator."""
    axis, flat = ellipsoid
    n = (1 / flat) / (2 - 1 / flat)
    e = sqrt((2 - 1 / flat) / flat)
    alpha = (
        n / 2 - 2 * n**2 / 3 + 5 * n**3 / 16 + 41 * n**4 / 180,
        13 * n**2 / 48 - 3 * n**3 / 5 + 557 * n**4 / 1440,
        61 * n**3 / 240 - 103 * n**4 / 140,
        49561 * n**4 / 161280,
    )
    tau, lam = tan(radians(lat)), radians(lon - meridian)
    sigma = sinh(e * atanh(e * tau / sqrt(1 + tau * tau)))
    conformal = tau * sqrt(1 + sigma * sigma) - sigma * sqrt(1 + tau * tau)
    xi, eta = atan2(conformal, cos(lam)), asinh(sin(lam) / hypot(conformal, cos(lam)))
    rectifying = axis / (1 + n) * (1 + n**2 / 4 + n**4 / 64)
    north = xi + sum(a * sin(2 * j * xi) * cosh(2 * j * eta) for j, a in enumerate(alpha, start=1))
    east = eta + sum(a * cos(2 * j * xi) * sinh(2 * j * eta) for j, a in enumerate(alpha, start=1))
    return (scale * rectifying * east, scale * rectifying * north)


def test_the_second_writing_gives_the_published_british_example():
    """So that it is itself held against something: the true origin lies at 49° N, 2° W, and stands for 400 000 east, -100 000 north."""
    scale = 0.9996012717
    east, north = mercator(*WORKED, AIRY_1830, -2, scale)
    _, origin = mercator(-2, 49, AIRY_1830, -2, scale)
    assert (east + 400_000, north - origin - 100_000) == pytest.approx(WORKED_GRID, abs=0.001)


@unhurried
@given(st.floats(6, 12), st.floats(1, 80), st.floats(0, 359), st.floats(-20_000, 20_000), st.floats(-20_000, 20_000))
def test_every_position_of_a_zone_comes_in_as_by_the_second_writing(lon, lat, turned, right, up):
    east, north = mercator(lon, lat, WGS_84, 9, 0.9996)
    turn = radians(turned)
    x, y = projection("EPSG:32632", 500_000 + east - right, north - up, turned).to_site(lon, lat)
    assert (x, y) == pytest.approx((right * cos(turn) - up * sin(turn), right * sin(turn) + up * cos(turn)), abs=0.001)


# Universal Transverse Mercator by its definition: the zone's own meridian is 500 000 east, the equator 0 north (10 000 000 in the south)


@pytest.mark.parametrize(("crs", "mark", "grid"), [("EPSG:32631", (3.0, 0.0), (500_000, 0)), ("EPSG:32756", (153.0, -1e-12), (500_000, 10_000_000))])
def test_the_origin_of_a_zone_is_where_its_definition_has_it(crs, mark, grid):
    assert told(crs, mark, (510_000, grid[1])) == pytest.approx(grid, abs=0.001)


def test_the_quarter_meridian_is_as_long_as_the_ellipsoid_has_it():
    """10 001 965.729 m on GRS 80 (H. Moritz, "Geodetic Reference System 1980", Bulletin géodésique 1984; from memory): times the scale at the pole."""
    east, north = mercator(9, 90 - 1e-9, GRS_80, 9, 1)
    assert (east, north) == pytest.approx((0, 10_001_965.729), abs=0.001)
