"""From positions on the Earth (WGS 84, longitude and latitude in degrees) into a site's metre grid (x east, y north), and back."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, cos, hypot, isfinite, pi, radians, sin

from pyproj import Geod
from pyproj.enums import TransformDirection

from locates.grids.rules.systems import KEPT, Way, finer, system, ways, within
from records.rules.text import Unfit
from records.rules.wkt import FARTHEST_M

PLACES_M, PLACES_DEG = 6, 10
METRES_A_DEGREE = 111_320.0
ROUND_ABOUT = 64  # points of the circle on which the approximation is held against the exact answer
MARGIN = 1.02  # and what lies between them
PROBE_M = 100.0
EARTH = Geod(ellps="WGS84")

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Affine:
    """A straight approximation: x = a + b·(lon − lon0) + c·(lat − lat0), y = d + e·(lon − lon0) + f·(lat − lat0), degrees in, metres out.

    Within `radius_m` of `about` it lies no farther than `good_within_m` from the exact answer; how good the change of datum itself is comes on top.
    """

    affine: tuple[float, float, float, float, float, float]
    about: Point
    good_within_m: float
    radius_m: float

    def to_site(self, lon: float, lat: float) -> Point:
        a, b, c, d, e, f = self.affine
        east, north = round_the_earth(lon - self.about[0]), lat - self.about[1]
        return (a + b * east + c * north, d + e * east + f * north)

    def told(self) -> dict[str, object]:
        """As the sketch is told of it."""
        return {"affine": list(self.affine), "from": list(self.about), "good_within_m": self.good_within_m, "radius_m": self.radius_m}


def round_the_earth(degrees: float) -> float:
    """A difference of longitudes the shorter way round: from -180 to below 180."""
    return (degrees + 180) % 360 - 180


@dataclass(frozen=True, slots=True)
class Lie:
    """How the grid lies at its origin: where that is, the way from WGS 84 and its stated accuracy, finer ways that need files, the system's area of use
    (west, south, east, north in degrees; None where its text tells none), the length of a grid metre on the ellipsoid, and the true bearing of the y axis.
    """

    system: str
    origin: Point
    way: str
    accuracy_m: float | None
    finer: tuple[tuple[str, float], ...]
    area_name: str
    area: tuple[float, float, float, float] | None
    metre_m: float
    bearing_deg: float


@dataclass(frozen=True)
class Projection:
    """A site's grid: its system, its origin there in metres, and by how many degrees its y axis is turned clockwise from the system's north."""

    crs: str
    east_0: float
    north_0: float
    turned_deg: float
    way: Way

    def to_site(self, lon: float, lat: float) -> Point:
        """The position in the site's grid, metres. Raises Unfit for one that is no position, or lies out of the grid."""
        return self.all_to_site([(lon, lat)])[0]

    def all_to_site(self, positions: Sequence[Point]) -> list[Point]:
        """Many positions at once. Raises Unfit as `to_site` does, for the first that cannot be placed."""
        for lon, lat in positions:
            _earthly(lon, lat)
        if not positions:
            return []
        easts, norths = self.way.transformer.transform([lon for lon, _ in positions], [lat for _, lat in positions])
        placed = [self._turned_in(east, north) for east, north in zip(easts, norths, strict=True)]
        for point, position in zip(placed, positions, strict=True):
            _inside(point, position)
        return placed

    def to_earth(self, x: float, y: float) -> Point:
        """Longitude and latitude of a point of the site's grid. Raises Unfit for one out of the grid."""
        if not (isfinite(x) and isfinite(y)) or max(abs(x), abs(y)) > FARTHEST_M:
            raise Unfit(f"{x:g} {y:g} is out of the site's grid: within -{FARTHEST_M} to {FARTHEST_M} metres was expected")
        turn = radians(self.turned_deg)
        east, north = self.east_0 + x * cos(turn) + y * sin(turn), self.north_0 - x * sin(turn) + y * cos(turn)
        lon, lat = self.way.transformer.transform(east, north, direction=TransformDirection.INVERSE)
        if not (isfinite(lon) and isfinite(lat)):
            raise Unfit(f"{x:g} {y:g} lies nowhere on the Earth in {system(self.crs).name}: a point that the system reaches was expected")
        return (round(lon, PLACES_DEG), round(lat, PLACES_DEG))

    def _turned_in(self, east: float, north: float) -> Point:
        turn, right, up = radians(self.turned_deg), east - self.east_0, north - self.north_0
        return (round(right * cos(turn) - up * sin(turn), PLACES_M), round(right * sin(turn) + up * cos(turn), PLACES_M))

    def affine(self, about: Point, radius_m: float) -> Affine:
        """The straight approximation around a point of the site's grid, with the error that it has within the radius. Raises Unfit out of the grid."""
        lon, lat = self.to_earth(*about)
        wide, high = radius_m / (METRES_A_DEGREE * cos(radians(lat))), radius_m / METRES_A_DEGREE
        (x1, y1), (x2, y2), (x3, y3), (x4, y4) = self._near([(lon - wide, lat), (lon + wide, lat), (lon, lat - high), (lon, lat + high)])
        slopes = ((x2 - x1) / (2 * wide), (x4 - x3) / (2 * high), (y2 - y1) / (2 * wide), (y4 - y3) / (2 * high))
        x, y = self.to_site(lon, lat)
        made = Affine((x, slopes[0], slopes[1], y, slopes[2], slopes[3]), (lon, lat), 0.0, radius_m)
        return Affine(made.affine, made.about, self._worst(made, (wide, high)), radius_m)

    def _near(self, positions: Iterable[Point]) -> list[Point]:
        return self.all_to_site([(round_the_earth(lon), lat) for lon, lat in positions])

    def _worst(self, made: Affine, reach: Point) -> float:
        """The farthest that the approximation is off on the circle, in whole millimetres rounded up: it grows outwards, so within the circle it is less."""
        (lon, lat), (wide, high) = made.about, reach
        angles = [2 * pi * step / ROUND_ABOUT for step in range(ROUND_ABOUT)]
        around = [(round_the_earth(lon + wide * cos(angle)), lat + high * sin(angle)) for angle in angles]
        off = [hypot(x - u, y - v) for (x, y), (u, v) in zip(self._near(around), (made.to_site(*one) for one in around), strict=True)]
        return ceil(max(off) * MARGIN * 1000) / 1000

    def lie(self) -> Lie:
        """How the grid lies, for people to judge."""
        named = system(self.crs)
        area, origin = named.area_of_use, self.to_earth(0, 0)
        bearing, length = _leg(origin, self.to_earth(0, PROBE_M))
        better = tuple(one for one in finer(self.crs) if self.way.accuracy_m is None or one[1] < self.way.accuracy_m)
        return Lie(
            system=named.name if named.name != "unknown" else "a system told by its text",
            origin=origin,
            way=self.way.name,
            accuracy_m=self.way.accuracy_m,
            finer=better,
            area_name=area.name if area else "",
            area=area.bounds if area else None,
            metre_m=length / PROBE_M,
            bearing_deg=bearing % 360,
        )

    def stretches(self) -> tuple[float, float]:
        """The length of a metre of the grid on the ellipsoid at its origin, along x and along y."""
        origin = self.to_earth(0, 0)
        return (_leg(origin, self.to_earth(PROBE_M, 0))[1] / PROBE_M, _leg(origin, self.to_earth(0, PROBE_M))[1] / PROBE_M)


def _leg(start: Point, end: Point) -> tuple[float, float]:
    """The true bearing in degrees and the length in metres of a short line on the ellipsoid."""
    bearing, _, length = EARTH.inv(*start, *end)
    return bearing, length


def _earthly(lon: float, lat: float) -> None:
    if not (-180 <= lon <= 180 and -90 <= lat <= 90):  # and so nothing that is no number
        raise Unfit(f"{lon:g} {lat:g} is no position: a longitude of -180 to 180 and a latitude of -90 to 90 degrees were expected")


def _inside(point: Point, position: Point) -> None:
    if not all(map(isfinite, point)) or max(map(abs, point)) > FARTHEST_M:
        lon, lat = position
        raise Unfit(f"{lon:g} {lat:g} lies over {FARTHEST_M // 1000} km from the origin of the site's grid: a position at the site was expected")


@lru_cache(KEPT)
def projection(crs: str, east_0: float, north_0: float, turned_deg: float = 0.0) -> Projection:
    """The grid with its origin there, by the best way that needs no file and reaches it. Raises Unfit where there is none."""
    for way in ways(crs):
        made = Projection(crs, float(east_0), float(north_0), float(turned_deg), way)
        if way.covers(*made.to_earth(0, 0)):
            return made
    raise Unfit(f"no way from WGS 84 to {system(crs).name} without files is made for where the origin lies: another system or origin was expected")


def origin(crs: str, east_0: float, north_0: float) -> Point:
    """Longitude and latitude of the origin, near enough to tell whether the system serves there. Raises Unfit where it lies nowhere on the Earth."""
    return Projection(crs, float(east_0), float(north_0), 0.0, ways(crs)[0]).to_earth(0, 0)


def served(crs: str, position: Point) -> bool:
    """Does the position lie in the area that the system is made for, so far as that is told?"""
    area = system(crs).area_of_use
    return area is None or within(area.bounds, *position)
