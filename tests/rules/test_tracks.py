"""Tracks read from GPX and GeoJSON, brought into a site's metres, and thinned."""

import json

import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from locates.grids.rules.projection import projection
from locates.grids.rules.shapes import AREA, LINE, MOST_POINTS, MOST_SHAPES, POINT
from locates.grids.rules.thinning import thinned
from locates.grids.rules.tracks import offers, read
from records.rules.text import Unfit

GRID = projection("EPSG:2193", 1_500_000, 5_700_000, 20)


def on_earth(*points):
    return [list(GRID.to_earth(*point)) for point in points]


def gpx(body, head='<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1">'):
    return f'<?xml version="1.0" encoding="UTF-8"?>{head}{body}</gpx>'.encode()


def points(tag, *places, hdop=""):
    beside = f"<ele>77</ele><hdop>{hdop}</hdop>" if hdop else "<ele>77</ele>"
    return "".join(f'<{tag} lat="{lat}" lon="{lon}">{beside}</{tag}>' for lon, lat in on_earth(*places))


def feature(kind, coordinates, **properties):
    return {"type": "Feature", "geometry": {"type": kind, "coordinates": coordinates}, "properties": properties}


def geojson(*features):
    return json.dumps({"type": "FeatureCollection", "features": features}).encode()


def refused(data, says):
    with pytest.raises(Unfit, match=says):
        read(data)


# GPX


def test_waypoints_are_points_and_routes_and_segments_are_lines():
    segments = f"<trkseg>{points('trkpt', (0, 0), (5, 0))}</trkseg><trkseg>{points('trkpt', (9, 0), (9, 4), (5, 4))}</trkseg>"
    data = gpx(f"{points('wpt', (1, 2))}<rte><name>Kerb</name>{points('rtept', (0, 0), (1, 1))}</rte><trk><name>Walk</name>{segments}</trk>")
    found = read(data)
    assert [(one.kind, one.name, len(one.parts[0])) for one in found] == [
        (POINT, "Waypoint 1", 1),
        (LINE, "Kerb", 2),
        (LINE, "Walk, part 1", 2),
        (LINE, "Walk, part 2", 3),
    ]


def test_the_worst_dilution_stands_for_the_line_and_is_not_taken_for_metres():
    body = f"<trk><trkseg>{points('trkpt', (0, 0), hdop='0.9')}{points('trkpt', (3, 0), hdop='2.5')}</trkseg></trk>"
    [line] = read(gpx(body))
    assert (line.hdop, line.accuracy_m) == (2.5, None)


def test_a_segment_of_one_point_is_no_line():
    refused(gpx(f"<trk><trkseg>{points('trkpt', (0, 0))}</trkseg></trk>"), "holds no point, line or area")


BOMB = '<!DOCTYPE gpx [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>'
FETCH = '<!DOCTYPE gpx [<!ENTITY a SYSTEM "file:///etc/passwd">]>'


@pytest.mark.parametrize("head", [BOMB, FETCH, '<!DOCTYPE gpx SYSTEM "http://198.51.100.7/gpx.dtd">'])
def test_entities_and_document_types_are_refused(head):
    refused(
        f"<?xml version='1.0'?>{head}<gpx xmlns='http://www.topografix.com/GPX/1/1'><wpt lat='1' lon='1'><name>&b;</name></wpt></gpx>".encode(), "are not read"
    )


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"<gpx", "no whole XML"),
        (b"<?xml version='1.0' encoding='none-such'?><gpx/>", "no whole XML"),
        (b"<kml xmlns='http://www.opengis.net/kml/2.2'/>", "begins with '.*kml'"),
        (gpx('<wpt lat="91" lon="0"/>'), "is no position"),
        (gpx('<wpt lat="north" lon="0"/>'), "'north' is no lat"),
        (gpx('<wpt lat="inf" lon="0"/>'), "is no position"),
        (b"PK\x03\x04", "GPX 1.1 or GeoJSON was expected"),
        (b"", "GPX 1.1 or GeoJSON was expected"),
        (b"<" + b" " * 5 * 1024 * 1024, "at most 5 MB"),
    ],
)
def test_what_is_no_gpx_is_refused_with_the_reason(data, says):
    refused(data, says)


# GeoJSON


def test_shapes_of_several_parts_are_each_by_itself():
    square = on_earth((0, 0), (4, 0), (4, 4), (0, 4), (0, 0))
    found = read(geojson(feature("MultiPoint", on_earth((0, 0), (1, 1)), name="peg"), feature("MultiPolygon", [[square], [square]]), feature("Point", [])))
    assert [(one.kind, one.name) for one in found] == [(POINT, "peg"), (POINT, "peg"), (AREA, "Shape 2"), (AREA, "Shape 2")]


def test_an_accuracy_that_is_stated_is_kept_and_one_that_is_none_is_not():
    stated = [feature("Point", [1, 1], accuracy=value) for value in (3.5, "4", -1, "good", True, None)]
    assert [one.accuracy_m for one in read(geojson(*stated))] == [3.5, 4.0, None, None, None, None]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"{", "no whole JSON"),
        (b'{"type":"Point","coordinates":[NaN,1]}', "NaN is no number"),
        (b'{"type":"Point","coordinates":[1]}', "is no position"),
        (b'{"type":"Point","coordinates":["1","2"]}', "is no position"),
        (b'{"type":"Point","coordinates":[true,2]}', "is no position"),
        (b'{"type":"Point","coordinates":[1e400,2]}', "is no position"),
        (b'{"type":"Point","coordinates":{"x":1}}', "where a list was expected"),
        (b'{"type":"LineString","coordinates":[[1,2]]}', "a line of one point"),
        (b'{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,1]]]}', "is not closed"),
        (b'{"type":"Sphere","coordinates":[]}', "'Sphere' is no geometry"),
        (b'{"type":"FeatureCollection","features":[7]}', "no list of features"),
        (b'{"type":"FeatureCollection","features":[]}', "holds no point, line or area"),
        (b'{"type":"Feature","geometry":null}', "holds no point, line or area"),
        (b'{"type":"Point","coordinates":[1,2],"crs":{"type":"name","properties":{"name":"EPSG:2193"}}}', "'EPSG:2193'"),
        (b'{"a":' + b"[" * 100_000, "no whole JSON"),
        (b'{"type":"Point","coordinates":[' + b"9" * 5000 + b",1]}", "no whole JSON"),
        (b'{"type":"Point","coordinates":[' + b"9" * 400 + b",1]}", "too large"),
    ],
)
def test_what_is_no_geojson_is_refused_with_the_reason(data, says):
    refused(data, says)


@pytest.mark.parametrize("name", ["urn:ogc:def:crs:OGC:1.3:CRS84", "EPSG:4326"])
def test_a_system_named_in_the_older_way_is_taken_where_it_is_wgs_84(name):
    one = {"type": "Point", "coordinates": [1, 2], "crs": {"type": "name", "properties": {"name": name}}}
    assert read(json.dumps(one).encode())[0].parts == (((1.0, 2.0),),)


def test_collections_within_collections_are_read_only_so_deep():
    one = {"type": "Point", "coordinates": [1, 2]}
    for _ in range(4):
        one = {"type": "GeometryCollection", "geometries": [one]}
    assert len(read(json.dumps(one).encode())) == 1
    refused(json.dumps({"type": "GeometryCollection", "geometries": [one]}).encode(), "no geometry that is read")


def test_more_shapes_or_points_than_are_read_are_refused():
    refused(geojson(*[feature("Point", [1, 1])] * (MOST_SHAPES + 1)), "more than 500 shapes")
    refused(geojson(feature("LineString", [[1, 1], [1, 2]] * (MOST_POINTS // 2 + 1))), "or 20000 points")


# brought into the site's metres


def test_a_line_comes_in_as_the_shape_that_a_register_keeps():
    [one], left = offers(read(geojson(feature("LineString", on_earth((0, 0), (3, 4.5), (10, -2.125)), name="kerb", accuracy=2))), GRID)
    assert (one.text, one.typed, left) == ("LINESTRING (0 0, 3 4.5, 10 -2.125)", "0 0\n3 4.5\n10 -2.125", ())
    assert one.says == "line kerb, 15.0 m, stated to 2 m"


def test_an_area_comes_in_with_its_holes():
    ring, hole = ((0, 0), (9, 0), (9, 9), (0, 9), (0, 0)), ((3, 3), (3, 6), (6, 6), (6, 3), (3, 3))
    [one], _ = offers(read(geojson(feature("Polygon", [on_earth(*ring), on_earth(*hole)]))), GRID)
    assert (one.kind, one.size) == (AREA, pytest.approx(72))
    assert one.says == "area Shape 1, 72.0 m², accuracy not stated"


def test_a_point_comes_in_as_x_and_y():
    [one], _ = offers(read(gpx(points("wpt", (1.5, 2), hdop="1.2"))), GRID)
    assert (one.typed, one.says) == ("1.5 2", "point Waypoint 1 at 1.5 2, HDOP 1.2")


def test_what_cannot_be_offered_is_left_out_with_the_reason_and_the_rest_is_offered():
    crossed = on_earth((0, 0), (4, 4), (4, 0), (0, 4), (0, 0))
    still = on_earth((1, 1), (1, 1), (1, 1))
    made, left = offers(read(geojson(feature("Point", [10, 50], name="far"), feature("Polygon", [crossed], name="bow"), feature("LineString", still))), GRID)
    assert made == ()
    assert "point far is left out: 10 50 lies over 100 km" in left[0]
    assert "area bow is left out: the POLYGON is not valid" in left[1]
    assert "line Shape 3 is left out: the LINESTRING has no length" in left[2]


def test_a_line_too_long_for_a_register_is_said_to_be_so_and_fits_when_it_is_thinned():
    long = read(geojson(feature("LineString", on_earth(*[(n / 10, (n % 2) / 100) for n in range(12_000)]))))
    assert "thin it" in offers(long, GRID)[1][0]
    [one], left = offers(long, GRID, 0.02)
    assert (one.points < 100, "of 12000 points are kept" in one.says, left) == (True, True, ())


# thinned

unhurried = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
millimetres = st.integers(-50_000, 50_000).map(lambda one: one / 1000)
walks = st.lists(st.tuples(millimetres, millimetres), min_size=2, max_size=40)


@unhurried
@given(walks, st.floats(0, 1))
def test_no_point_lies_farther_from_the_thinned_line_than_the_tolerance(walk, tolerance):
    thin = thinned(walk, tolerance)
    off = max(shapely.Point(one).distance(shapely.LineString(thin.points)) for one in walk)
    assert off == pytest.approx(thin.farthest_m) and off <= tolerance + 1e-9
    assert (thin.points[0], thin.points[-1]) == (walk[0], walk[-1])
    assert set(thin.points) <= set(walk)


def test_a_thinned_ring_stays_closed_and_fit():
    ring = [*shapely.Point(0, 0).buffer(5, quad_segs=64).exterior.coords]
    thin = thinned(ring, 0.05)
    assert (thin.points[0], len(thin.points) < len(ring) / 3) == (thin.points[-1], True)
    assert shapely.Polygon(thin.points).is_valid


def test_a_ring_that_would_cross_or_vanish_is_left_as_it_is():
    small = [(0, 0), (0.1, 0), (0.1, 0.1), (0, 0.1), (0, 0)]
    assert thinned(small, 0.5).points == tuple(small)


def test_what_was_done_is_said():
    assert thinned([(0, 0), (1, 0.03), (2, 0)], 0.05).says == "2 of 3 points are kept; the others lie within 0.030 m of the line that is left"
    assert thinned([(0, 0), (1, 1), (2, 0)], 0.05).says == "all 3 points are kept"
    assert thinned([(0, 0), (1, 0), (2, 0)], 0).says == "all 3 points are kept"


@pytest.mark.parametrize("tolerance", [-0.1, 1.1, float("nan")])
def test_a_tolerance_of_no_use_is_refused(tolerance):
    with pytest.raises(Unfit, match="no tolerance"):
        thinned([(0, 0), (1, 1), (2, 0)], tolerance)
