"""A site's grid, for those who bring positions into it."""

from locates.grids.models import Grid
from locates.grids.rules.projection import Projection
from records.rules.text import Unfit


def grid_of(site: str) -> Projection | None:
    """The way into the site's grid and back; None where none is entered, or this machine does not know its system."""
    stored = Grid.objects.filter(site=site).first()
    try:
        return stored.projection() if stored is not None else None
    except Unfit:
        return None
