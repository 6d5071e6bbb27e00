"""What a track file holds once it is read: points, lines and areas on the Earth (WGS 84, longitude and latitude in degrees), and how much of it is read."""

from dataclasses import dataclass
from math import isfinite

from records.rules.text import Unfit

LARGEST_FILE = 5 * 1024 * 1024  # bytes
MOST_SHAPES, MOST_POINTS = 500, 20_000  # five hours and a half, a point a second
LONGEST_NAME = 80
POINT, LINE, AREA = "point", "line", "area"

Point = tuple[float, float]
Parts = tuple[tuple[Point, ...], ...]


@dataclass(frozen=True, slots=True)
class Track:
    """A shape on the Earth. `parts`: its points, in one part but for the holes of an area, whose rings are closed.

    `accuracy_m`: the worst that the file states for any of its points, metres; `hdop`: the worst dilution of precision that it states, which is no length.
    """

    kind: str
    name: str
    parts: Parts
    accuracy_m: float | None = None
    hdop: float | None = None


class Count:
    """How much was read so far."""

    def __init__(self) -> None:
        self.shapes = self.points = 0

    def add(self, points: int) -> None:
        """Raises Unfit once it is more than is read."""
        self.shapes += 1
        self.points += points
        if self.shapes > MOST_SHAPES or self.points > MOST_POINTS:
            raise Unfit(f"the file holds more than {MOST_SHAPES} shapes or {MOST_POINTS} points: a shorter piece of it was expected")


def position(lon: float, lat: float, where: str) -> Point:
    """Raises Unfit for what is no position; `where` says of what."""
    if not (isfinite(lon) and isfinite(lat)) or not (-180 <= lon <= 180 and -90 <= lat <= 90):
        raise Unfit(f"{where}: longitude {lon:g}, latitude {lat:g} is no position: -180 to 180 and -90 to 90 degrees were expected")
    return (lon, lat)


def named(text: object, otherwise: str) -> str:
    """A name that can be shown, cut short."""
    plain = " ".join(str(text).split()) if isinstance(text, str | int | float) else ""
    return "".join(one for one in plain if one.isprintable())[:LONGEST_NAME] or otherwise


def worst(stated: list[float | None]) -> float | None:
    """The largest of the stated numbers; none where none is stated."""
    return max((one for one in stated if one is not None), default=None)


def stated(value: object) -> float | None:
    """A number above nought that a file states, or None for anything else: what is no number states nothing."""
    try:
        number = float(value) if isinstance(value, str | int | float) and not isinstance(value, bool) else -1.0
    except (ValueError, OverflowError):
        return None
    return number if isfinite(number) and number > 0 else None
