"""Tracks that were recorded elsewhere, read and brought into a site's metres, as shapes that a form can offer."""

from collections.abc import Iterable
from dataclasses import dataclass

import shapely

from locates.grids.rules.geojson import read_geojson
from locates.grids.rules.gpx import read_gpx
from locates.grids.rules.projection import Projection
from locates.grids.rules.shapes import AREA, LARGEST_FILE, LINE, POINT, Point, Track
from locates.grids.rules.thinning import thinned
from records.rules import wkt
from records.rules.columns import LONGEST_SHAPE
from records.rules.corners import listed
from records.rules.text import Unfit, shown

PLACES = 3  # of a metre
WORDS = {POINT: "POINT", LINE: wkt.LINESTRING, AREA: wkt.POLYGON}


@dataclass(frozen=True, slots=True)
class Offer:
    """A shape in the site's metres. `text`: as registers keep it; `typed`: as its field shows it. `size`: metres of a line, square metres of an area.

    `accuracy_m` and `hdop` are what the file states. `thinned`: what was done to its points, nothing where all are there.
    """

    kind: str
    name: str
    text: str
    size: float
    points: int
    accuracy_m: float | None
    hdop: float | None
    thinned: str = ""

    @property
    def typed(self) -> str:
        return listed(self.text) if self.kind != POINT else self.text.removeprefix("POINT (").removesuffix(")")

    @property
    def says(self) -> str:
        """What it is, in a line: kind, name, how long or large, how good its file says it is."""
        size = {LINE: f", {self.size:.1f} m", AREA: f", {self.size:.1f} m²"}.get(self.kind, f" at {self.typed}")
        good = f", stated to {self.accuracy_m:g} m" if self.accuracy_m else f", HDOP {self.hdop:g}" if self.hdop else ", accuracy not stated"
        return f"{self.kind} {self.name}{size}{good}{f' ({self.thinned})' if self.thinned else ''}"


def read(data: bytes) -> tuple[Track, ...]:
    """The shapes of a GPX or GeoJSON file, told apart by how it begins. Raises Unfit, with the reason, for any other and for one that holds nothing."""
    if len(data) > LARGEST_FILE:
        raise Unfit(f"the file has {len(data) / 1024 / 1024:.1f} MB: at most {LARGEST_FILE // 1024 // 1024} MB were expected")
    start = data.removeprefix(b"\xef\xbb\xbf").lstrip()[:1]
    if start not in (b"<", b"{"):
        raise Unfit(f"the file begins with {shown(data[:8].decode('latin-1'))}: GPX 1.1 or GeoJSON was expected")
    found = read_gpx(data) if start == b"<" else read_geojson(data)
    if not found:
        raise Unfit("the file holds no point, line or area: one or more were expected")
    return found


def offers(tracks: Iterable[Track], grid: Projection, tolerance_m: float = 0.0) -> tuple[tuple[Offer, ...], tuple[str, ...]]:
    """The shapes in the site's metres, thinned by so much at most; and of each that cannot be offered, a sentence why."""
    made, left = [], []
    for track in tracks:
        try:
            made.append(_offer(track, grid, tolerance_m))
        except Unfit as fault:
            left.append(f"{track.kind} {track.name} is left out: {fault}")
    return tuple(made), tuple(left)


def _offer(track: Track, grid: Projection, tolerance_m: float) -> Offer:
    """Raises Unfit for a shape out of the grid, one that a register does not take, and one that is too long."""
    parts = [_rounded(grid.all_to_site(part)) for part in track.parts]
    if track.kind == POINT:
        return Offer(POINT, track.name, f"POINT ({_written(parts[0])})", 0.0, 1, track.accuracy_m, track.hdop)
    thin = [thinned(part, tolerance_m) for part in parts]
    body = ", ".join(f"({_written(one.points)})" for one in thin)
    text = f"{WORDS[track.kind]} {body if track.kind == LINE else f'({body})'}"
    if len(text) > LONGEST_SHAPE:
        raise Unfit(f"it has {sum(map(len, parts))} points, more than a register's shape can hold: thin it, or take a shorter piece of it")
    shape = wkt.read(text, (WORDS[track.kind],))
    geometry, fewer = shapely.from_wkt(shape.text), any(len(one.points) < one.of for one in thin)
    size = geometry.length if track.kind == LINE else geometry.area
    says = "; ".join(one.says for one in thin) if fewer else ""
    return Offer(track.kind, track.name, shape.text, size, sum(len(one.points) for one in thin), track.accuracy_m, track.hdop, says)


def _rounded(points: Iterable[Point]) -> list[Point]:
    """To the millimetre, and none twice in a row: a receiver that stood still repeats itself."""
    kept: list[Point] = []
    for x, y in points:
        one = (round(x, PLACES), round(y, PLACES))
        if not kept or kept[-1] != one:
            kept.append(one)
    return kept


def _written(points: Iterable[Point]) -> str:
    return ", ".join(f"{_number(x)} {_number(y)}" for x, y in points)


def _number(value: float) -> str:
    whole, _, part = f"{value:.{PLACES}f}".partition(".")
    return wkt.plain(whole, part)
