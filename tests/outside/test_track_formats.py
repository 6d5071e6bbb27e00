"""Tracks against the texts of the open formats and against another library that reads and writes them."""

import json
from datetime import UTC, datetime

import gpxpy
import gpxpy.gpx
import pytest

from locates.grids.rules.shapes import AREA, LINE, POINT
from locates.grids.rules.tracks import read

# RFC 7946 "The GeoJSON Format", Appendix A, the examples of geometries; and section 1.5's feature collection. The text is from memory.
EXAMPLES = [
    ({"type": "Point", "coordinates": [100.0, 0.0]}, [(POINT, [1])]),
    ({"type": "LineString", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}, [(LINE, [2])]),
    ({"type": "Polygon", "coordinates": [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]]}, [(AREA, [5])]),
    (
        {
            "type": "Polygon",
            "coordinates": [
                [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
                [[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]],
            ],
        },
        [(AREA, [5, 5])],
    ),
    ({"type": "MultiPoint", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}, [(POINT, [1]), (POINT, [1])]),
    ({"type": "MultiLineString", "coordinates": [[[100.0, 0.0], [101.0, 1.0]], [[102.0, 2.0], [103.0, 3.0]]]}, [(LINE, [2]), (LINE, [2])]),
    (
        {
            "type": "MultiPolygon",
            "coordinates": [
                [[[102.0, 2.0], [103.0, 2.0], [103.0, 3.0], [102.0, 3.0], [102.0, 2.0]]],
                [
                    [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
                    [[100.2, 0.2], [100.2, 0.8], [100.8, 0.8], [100.8, 0.2], [100.2, 0.2]],
                ],
            ],
        },
        [(AREA, [5]), (AREA, [5, 5])],
    ),
    (
        {
            "type": "GeometryCollection",
            "geometries": [{"type": "Point", "coordinates": [100.0, 0.0]}, {"type": "LineString", "coordinates": [[101.0, 0.0], [102.0, 1.0]]}],
        },
        [(POINT, [1]), (LINE, [2])],
    ),
    (
        {
            "type": "FeatureCollection",
            "features": [
                {"type": "Feature", "geometry": {"type": "Point", "coordinates": [102.0, 0.5]}, "properties": {"prop0": "value0"}},
                {
                    "type": "Feature",
                    "geometry": {"type": "LineString", "coordinates": [[102.0, 0.0], [103.0, 1.0], [104.0, 0.0], [105.0, 1.0]]},
                    "properties": {"prop0": "value0", "prop1": 0.0},
                },
            ],
        },
        [(POINT, [1]), (LINE, [4])],
    ),
]


@pytest.mark.parametrize(("text", "expected"), EXAMPLES)
def test_the_examples_of_the_standard_are_read(text, expected):
    assert [(one.kind, [len(part) for part in one.parts]) for one in read(json.dumps(text).encode())] == expected


def test_a_position_is_longitude_first_and_more_than_two_numbers_are_left_aside():
    """RFC 7946, section 3.1.1: longitude, latitude, and an optional altitude; further elements may be ignored."""
    [one] = read(b'{"type":"Point","coordinates":[100.0,0.5,77.0,12.0]}')
    assert one.parts == (((100.0, 0.5),),)


def test_an_unlocated_feature_and_foreign_members_are_no_fault():
    """RFC 7946, sections 3.2 (a null geometry) and 6.1 (foreign members)."""
    nowhere = {"type": "Feature", "geometry": None, "properties": None}
    here = {"type": "Feature", "id": "f2", "title": "Example", "geometry": {"type": "Point", "coordinates": [1, 2]}, "properties": {}}
    [one] = read(json.dumps({"type": "FeatureCollection", "features": [nowhere, here], "note": {"a": 1}}).encode())
    assert one.name == "Example"


def written_by_the_other_library(version):
    made = gpxpy.gpx.GPX()
    made.waypoints.append(gpxpy.gpx.GPXWaypoint(-38.85, 172.0, elevation=12.5, name="Peg & post <1>", horizontal_dilution=1.4))
    route = gpxpy.gpx.GPXRoute(name="Kerb")
    route.points += [gpxpy.gpx.GPXRoutePoint(-38.85, 172.0), gpxpy.gpx.GPXRoutePoint(-38.851, 172.001)]
    made.routes.append(route)
    track = gpxpy.gpx.GPXTrack(name="Walk")
    for start in (0, 5):
        segment = gpxpy.gpx.GPXTrackSegment()
        times = [datetime(2027, 3, 4, 9, start, second, tzinfo=UTC) for second in range(3)]
        segment.points += [gpxpy.gpx.GPXTrackPoint(-38.85 + n / 1e4, 172.0 + start / 1e4, time=when, horizontal_dilution=1 + n) for n, when in enumerate(times)]
        track.segments.append(segment)
    made.tracks.append(track)
    return made.to_xml(version=version)


@pytest.mark.parametrize("version", ["1.1", "1.0"])
def test_what_another_library_writes_is_read_as_that_library_reads_it(version):
    text = written_by_the_other_library(version)
    theirs, ours = gpxpy.parse(text), read(text.encode())
    segments = [segment.points for track in theirs.tracks for segment in track.segments]
    expected = [[(one.longitude, one.latitude) for one in points] for points in ([theirs.waypoints[0]], theirs.routes[0].points, *segments)]
    assert [list(one.parts[0]) for one in ours] == expected
    assert [one.name for one in ours] == ["Peg & post <1>", "Kerb", "Walk, part 1", "Walk, part 2"]
    assert [one.hdop for one in ours] == [1.4, None, 3.0, 3.0]
