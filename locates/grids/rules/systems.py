"""Coordinate systems that a site's grid may lie in: projected, in metres, east and north; and the ways from WGS 84 into one that need no files.

Nothing here asks the network, and no grid file is used that one machine has and another has not: the same text gives the same answer everywhere.
"""

import re
import warnings
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Any, ClassVar
from zoneinfo import ZoneInfo

from pyproj import CRS, Transformer, network
from pyproj.exceptions import CRSError
from pyproj.transformer import TransformerGroup

from records.rules.columns import Number
from records.rules.kinds import Plain
from records.rules.text import Unfit, shown

WGS_84 = "EPSG:4326"
LONGEST_SYSTEM = 8_000
KEPT = 256  # systems at hand: to look one up takes some milliseconds
EXPECTED = "a code like EPSG:2193, or the WKT or PROJ text of a projected system in metres, was expected"

_CODE = re.compile(r"([A-Z]{3,10}):([0-9]{1,6})", re.IGNORECASE | re.ASCII)
_TEXT = re.compile(r"\+proj=|(?:PROJCRS|PROJCS|BOUNDCRS)\s*[\[(]", re.IGNORECASE | re.ASCII)
_FILES = re.compile(r"grids|parameterfile|init\s*=|model\s*=|file\s*=", re.IGNORECASE | re.ASCII)


@dataclass(frozen=True)
class System(Plain):
    """A coordinate system as it is named: a code of its registry in capitals; other text as it stands."""

    blank: ClassVar[str] = ""
    longest: ClassVar[int] = LONGEST_SYSTEM

    def read(self, text: str) -> str:
        named = text.upper() if _CODE.fullmatch(text) else text
        ways(named)
        return named

    def write(self, value: str, zone: ZoneInfo) -> str:
        return value


@dataclass(frozen=True)
class Turn(Number):
    """Degrees; an empty cell says 0, so filling it later is a change like any other."""

    blank_says: ClassVar[bool] = True

    def same(self, one: Decimal | None, other: Decimal | None) -> bool:
        return (one or 0) == (other or 0)


SYSTEM = System()
EASTING = Number(low=-30_000_000, high=30_000_000)
TURNED = Turn(low=0, below=360, places=6)


@lru_cache(KEPT)
def system(text: str) -> CRS:
    """The system that is named. Raises Unfit for what is unknown, is not projected, has heights, is not in metres, or does not run east and north."""
    if not (_CODE.fullmatch(text) or _TEXT.match(text)):
        raise Unfit(f"{shown(text)} names no coordinate system: {EXPECTED}")
    if _FILES.search(text):
        raise Unfit("it needs files that another machine may not have: a system that is told in full by its text was expected")
    try:
        found = CRS(text)
    except CRSError as trouble:
        raise Unfit(f"{shown(text)} is not a known coordinate system: {EXPECTED}") from trouble
    if not found.is_projected:
        raise Unfit(f"{found.name} is not projected ({_kind(found)}): {EXPECTED}")
    if found.is_compound or len(found.axis_info) != 2:
        raise Unfit(f"{found.name} has heights too: the horizontal system by itself was expected")
    if any(axis.unit_conversion_factor != 1 for axis in found.axis_info):
        raise Unfit(f"{found.name} is in {found.axis_info[0].unit_name}, not in metres: {EXPECTED}")
    if sorted(axis.direction for axis in found.axis_info) != ["east", "north"]:
        runs = " and ".join(axis.direction for axis in found.axis_info)
        raise Unfit(f"the axes of {found.name} run {runs}: a system of eastings and northings was expected")
    return found


def _kind(found: CRS) -> str:
    """`Geographic 2D`, `Vertical`, as the registry calls it."""
    return found.type_name.removesuffix(" CRS").lower()


@dataclass(frozen=True)
class Way:
    """One way from WGS 84 into a system. `accuracy_m`: as its registry states it, None where it states none. `bounds`: west, south, east, north in degrees."""

    name: str
    accuracy_m: float | None
    bounds: tuple[float, float, float, float] | None
    transformer: Transformer

    def covers(self, lon: float, lat: float) -> bool:
        return self.bounds is None or within(self.bounds, lon, lat)

    @property
    def rank(self) -> tuple[float, float]:
        """The better, the lower: what is stated before what is not, finer before coarser, made for a smaller area before a larger one."""
        return (float("inf") if self.accuracy_m is None else self.accuracy_m, spread(self.bounds))


def within(bounds: tuple[float, float, float, float], lon: float, lat: float) -> bool:
    """Does the point lie in the box? One whose west is east of its east goes over the 180th meridian."""
    west, south, east, north = bounds
    across = west <= lon <= east if west <= east else lon >= west or lon <= east
    return across and south <= lat <= north


def spread(bounds: tuple[float, float, float, float] | None) -> float:
    """The size of a box in square degrees; of no box, the whole Earth."""
    if bounds is None:
        return 360.0 * 180.0
    west, south, east, north = bounds
    return ((east - west) % 360 or 360) * (north - south)


@lru_cache(KEPT)
def ways(text: str) -> tuple[Way, ...]:
    """The ways from WGS 84 into the system that use no file, the best first. Raises Unfit where the system is none, or none leads there."""
    target = system(text)
    network.set_network_enabled(active=False)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # that a finer way needs a file: `finer` tells it
        group = TransformerGroup(WGS_84, target, always_xy=True, allow_ballpark=False)
    found = [_way(one) for one in group.transformers if not _FILES.search(one.definition)]
    if not found:
        raise Unfit(f"nothing tells how {target.name} lies to WGS 84 without files of its own: a code, or text that names its datum, was expected")
    return tuple(sorted(found, key=lambda way: way.rank))


def _way(one: Transformer) -> Way:
    area = one.area_of_use
    return Way(_datum(one.description), one.accuracy if one.accuracy >= 0 else None, area.bounds if area else None, one)


def _datum(steps: str) -> str:
    """Of the steps of a way those that change the datum; none where it only projects, which comes last."""
    return " + ".join([step for step in steps.split(" + ") if not step.startswith("axis order change")][:-1])


def finer(text: str) -> tuple[tuple[str, Any], ...]:
    """Ways into the system that need a file, and so are not used: their names and stated accuracies in metres, the finest first."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        group = TransformerGroup(WGS_84, system(text), always_xy=True, allow_ballpark=False)
    lacking = [(_datum(one.name), one.accuracy) for one in group.unavailable_operations]
    there = [(_datum(one.description), one.accuracy) for one in group.transformers if _FILES.search(one.definition)]
    return tuple(sorted(((name, accuracy) for name, accuracy in (*lacking, *there) if accuracy >= 0), key=lambda one: one[1]))
