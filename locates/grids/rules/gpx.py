"""GPX 1.1 read: waypoints as points, routes and the segments of tracks as lines. Elevations and times are left aside."""

from collections.abc import Iterator
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import fromstring

from locates.grids.rules.shapes import LINE, POINT, Count, Track, named, position, stated, worst
from records.rules.text import Unfit, shown

SPACE = "{http://www.topografix.com/GPX/1/1}"
OLDER_SPACE = "{http://www.topografix.com/GPX/1/0}"  # of which all that is read here is alike
EXPECTED = "GPX 1.1 was expected"


def read_gpx(data: bytes) -> tuple[Track, ...]:
    """The shapes of a GPX file in its order. Raises Unfit for what is none, and for one with entities or a document type of its own."""
    try:
        root = fromstring(data, forbid_dtd=True)
    except DefusedXmlException as trouble:
        raise Unfit(f"the file declares a document type or entities, which are not read: plain {EXPECTED}") from trouble
    except (ParseError, ValueError, LookupError) as trouble:
        raise Unfit(f"the file is no whole XML ({trouble}): {EXPECTED}") from trouble
    space = next((one for one in (SPACE, OLDER_SPACE) if root.tag == f"{one}gpx"), None)
    if space is None:
        raise Unfit(f"the file begins with {shown(root.tag)}: {EXPECTED}")
    count = Count()
    return tuple(track for one in (_points, _routes, _tracks) for track in one(root, space, count))


def _points(root: Element, space: str, count: Count) -> Iterator[Track]:
    for number, one in enumerate(root.iterfind(f"{space}wpt"), start=1):
        yield _track(POINT, _name(one, space, f"Waypoint {number}"), [one], space, count)


def _routes(root: Element, space: str, count: Count) -> Iterator[Track]:
    for number, route in enumerate(root.iterfind(f"{space}rte"), start=1):
        points = route.findall(f"{space}rtept")
        if len(points) > 1:
            yield _track(LINE, _name(route, space, f"Route {number}"), points, space, count)


def _tracks(root: Element, space: str, count: Count) -> Iterator[Track]:
    """Each segment is a line: between segments the receiver was lost or off."""
    for number, track in enumerate(root.iterfind(f"{space}trk"), start=1):
        name, segments = _name(track, space, f"Track {number}"), track.findall(f"{space}trkseg")
        for part, segment in enumerate(segments, start=1):
            points = segment.findall(f"{space}trkpt")
            if len(points) > 1:
                yield _track(LINE, f"{name}, part {part}" if len(segments) > 1 else name, points, space, count)


def _track(kind: str, name: str, points: list[Element], space: str, count: Count) -> Track:
    count.add(len(points))
    hdop = worst([stated(one.findtext(f"{space}hdop")) for one in points])
    return Track(kind, name, (tuple(position(_degrees(one, "lon", name), _degrees(one, "lat", name), name) for one in points),), hdop=hdop)


def _degrees(point: Element, name: str, where: str) -> float:
    text = point.get(name, "")
    try:
        return float(text)
    except ValueError as trouble:
        raise Unfit(f"{where}: {shown(text)} is no {name}: decimal degrees were expected") from trouble


def _name(one: Element, space: str, otherwise: str) -> str:
    return named(one.findtext(f"{space}name"), otherwise)
