"""GeoJSON (RFC 7946) read: points, lines and areas; those of several parts each by itself. Elevations are left aside."""

import json
from collections.abc import Iterator
from typing import Any

from locates.grids.rules.shapes import AREA, LINE, POINT, Count, Parts, Point, Track, named, position, stated
from records.rules.text import Unfit, shown

EXPECTED = "GeoJSON (RFC 7946) was expected"
DEEPEST = 4  # collections of geometries within each other
ALONE = {"Point": POINT, "LineString": LINE, "Polygon": AREA}
SEVERAL = {"MultiPoint": POINT, "MultiLineString": LINE, "MultiPolygon": AREA}
SAME_AS_WGS_84 = ("CRS84", "EPSG::4326", "EPSG:4326")
CALLED = ("name", "title", "id")


def read_geojson(data: bytes) -> tuple[Track, ...]:
    """The shapes of a GeoJSON text in its order; what has no place is left out. Raises Unfit for what is none."""
    try:
        found = json.loads(data.decode("utf-8-sig"), parse_constant=_refused)
    except (ValueError, RecursionError) as trouble:
        raise Unfit(f"the file is no whole JSON ({trouble}): {EXPECTED}") from trouble
    if not isinstance(found, dict):
        raise Unfit(f"the file is no object: {EXPECTED}")
    _in_wgs_84(found)
    count = Count()
    return tuple(track for number, one in enumerate(_features(found), start=1) for track in _of_feature(one, f"Shape {number}", count))


def _refused(word: str) -> float:
    raise ValueError(f"{word} is no number")


def _in_wgs_84(found: dict[str, Any]) -> None:
    """An older form of the format could name another system; this one knows WGS 84 alone."""
    told = found.get("crs")
    properties = told.get("properties") if isinstance(told, dict) else None
    name = str(properties.get("name")) if isinstance(properties, dict) else str(told)
    if told is not None and not name.upper().endswith(SAME_AS_WGS_84):
        raise Unfit(f"the file is in a coordinate system of its own ({shown(name)}): longitude and latitude in WGS 84 were expected, as RFC 7946 has them")


def _features(found: dict[str, Any]) -> list[dict[str, Any]]:
    kind = found.get("type")
    if kind == "FeatureCollection":
        features = found.get("features")
        if not isinstance(features, list) or not all(isinstance(one, dict) and one.get("type") == "Feature" for one in features):
            raise Unfit(f"its features are no list of features: {EXPECTED}")
        return features
    return [found if kind == "Feature" else {"geometry": found}]


def _of_feature(feature: dict[str, Any], otherwise: str, count: Count) -> Iterator[Track]:
    properties = feature.get("properties")
    told = properties if isinstance(properties, dict) else {}
    name = next((text for key in CALLED if (text := named(told.get(key, feature.get(key)), ""))), otherwise)
    for kind, parts in _shapes(feature.get("geometry"), name, 1):
        count.add(sum(map(len, parts)))
        yield Track(kind, name, parts, stated(told.get("accuracy")), stated(told.get("hdop")))


def _shapes(geometry: Any, name: str, depth: int) -> Iterator[tuple[str, Parts]]:
    """Each single shape of a geometry. One that is null, or has no coordinates, lies nowhere."""
    if geometry is None:
        return
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    if kind == "GeometryCollection" and depth <= DEEPEST:
        for one in _listed(geometry.get("geometries"), name):
            yield from _shapes(one, name, depth + 1)
    elif kind in ALONE or kind in SEVERAL:
        coordinates = _listed(geometry.get("coordinates"), name)
        for one in coordinates if kind in SEVERAL else [coordinates]:
            if one:
                yield _shape((ALONE | SEVERAL)[kind], one, name)
    else:
        raise Unfit(f"{name}: {shown(str(kind))} is no geometry that is read: {EXPECTED}")


def _shape(kind: str, coordinates: Any, name: str) -> tuple[str, Parts]:
    if kind == POINT:
        return kind, ((_position(coordinates, name),),)
    lines = [coordinates] if kind == LINE else _listed(coordinates, name)
    parts = tuple(tuple(_position(one, name) for one in _listed(line, name)) for line in lines)
    if kind == LINE and len(parts[0]) < 2:
        raise Unfit(f"{name}: a line of one point: two or more were expected")
    if kind == AREA and any(len(ring) < 4 or ring[0] != ring[-1] for ring in parts):
        raise Unfit(f"{name}: a ring is not closed: four positions or more, the last the same as the first, were expected")
    return kind, parts


def _position(found: Any, name: str) -> Point:
    numbers = _listed(found, name)[:2]
    if len(numbers) < 2 or any(isinstance(one, bool) or not isinstance(one, int | float) for one in numbers):
        raise Unfit(f"{name}: {shown(str(found))} is no position: longitude and latitude, in this order, were expected")
    try:
        return position(float(numbers[0]), float(numbers[1]), name)
    except OverflowError as trouble:
        raise Unfit(f"{name}: a number in it is too large: degrees were expected") from trouble


def _listed(found: Any, name: str) -> list[Any]:
    if not isinstance(found, list):
        raise Unfit(f"{name}: {shown(str(found))} stands where a list was expected")
    return found
