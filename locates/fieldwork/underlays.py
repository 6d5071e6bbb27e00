"""What lies under the sketch: a picture in the site's grid, and how the grid lies on the Earth."""

from typing import Any

from shapely import from_wkt

from locates.fieldwork.models import FieldSheet
from locates.grids.facts import grid_of
from records.rules.text import Unfit

REACH_M = 1000.0  # within which a phone may put its position by the straight approximation


def shown(row: FieldSheet) -> dict[str, Any] | None:
    """The picture under the sketch: its address and its extent in site metres; None where none is laid."""
    return None


def grid(row: FieldSheet) -> dict[str, Any] | None:
    """How longitude and latitude become site metres near the dig; None where the site's grid is not tied to the Earth."""
    found = grid_of(row.locate.site_id)
    if found is None:
        return None
    middle = from_wkt(row.outline).centroid if row.outline else None
    try:
        return found.affine((middle.x, middle.y) if middle is not None else (0.0, 0.0), REACH_M).told()
    except Unfit:
        return None
