"""What lies under the sketch: a picture in the site's grid, and how the grid lies on the Earth."""

from typing import Any

from locates.fieldwork.models import FieldSheet


def shown(row: FieldSheet) -> dict[str, Any] | None:
    """The picture under the sketch: its address and its extent in site metres; None where none is laid."""
    return None


def grid(row: FieldSheet) -> dict[str, Any] | None:
    """How longitude and latitude become site metres near here; None where the site's grid is not tied to the Earth."""
    return None
