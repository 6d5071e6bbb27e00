"""Positions that a phone's satellite receiver gave, as a page sends them: read strictly, and put into the site's grid."""

import json
from datetime import datetime
from math import isfinite
from typing import Any, Protocol

from records.rules.columns import INSTANT
from records.rules.kinds import UTC_ZONE
from records.rules.text import Unfit

MOST = 100
NUMBERS = {"lon": 9, "lat": 9, "accuracy_m": 3}
UNREADABLE = "the positions of the phone could not be read: draw the line again, or type its points"


class Grid(Protocol):
    """The way from longitude and latitude into a site's metres."""

    def to_site(self, lon: float, lat: float) -> tuple[float, float]: ...


def rows(told: str, grid: Grid | None) -> list[dict[str, str]]:
    """The cells of each position: when, where on the Earth, how sure, and where in the site's grid; none where nothing was told.

    Without a grid the phone's own place in it is kept. Raises Unfit for what is no list of positions.
    """
    if not told.strip():
        return []
    try:
        found = json.loads(told)
        if not isinstance(found, list) or len(found) > MOST:
            raise Unfit(f"{UNREADABLE}; at most {MOST} were expected")
        return [_row(one, grid) for one in found]
    except (ValueError, TypeError, KeyError, RecursionError) as trouble:
        raise Unfit(UNREADABLE) from trouble


def _row(one: dict[str, Any], grid: Grid | None) -> dict[str, str]:
    numbers = {name: _number(one[name]) for name in NUMBERS}
    x, y = grid.to_site(numbers["lon"], numbers["lat"]) if grid is not None else (_number(one["x"]), _number(one["y"]))
    told = {name: _plain(value, NUMBERS[name]) for name, value in numbers.items()}
    taken = datetime.fromisoformat(str(one["taken_at"]).replace("Z", "+00:00")).replace(microsecond=0)
    if taken.tzinfo is None:
        raise Unfit(UNREADABLE)
    return told | {"x": _plain(x, 3), "y": _plain(y, 3), "taken_at": INSTANT.write(taken, UTC_ZONE)}


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        raise Unfit(UNREADABLE)
    return float(value)


def _plain(value: float, places: int) -> str:
    return f"{value:.{places}f}"
