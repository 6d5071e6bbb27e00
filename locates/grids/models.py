"""How a site's metre grid lies on the Earth."""

from collections.abc import Iterable
from typing import ClassVar

from django.db import models

from locates.grids.rules import systems
from locates.grids.rules.projection import Projection, projection
from locates.grids.rules.wrongs import grid_wrongs
from records.base import Record
from records.firm.models import Site
from records.rules.wrong import Wrong


class Grid(Record):
    """A site's grid: the projected system that it lies in, its origin there in metres, and its turn in degrees clockwise (blank: none)."""

    KINDS: ClassVar = {"crs": systems.SYSTEM, "east_0": systems.EASTING, "north_0": systems.EASTING, "turned_deg": systems.TURNED}

    site = models.OneToOneField(Site, models.PROTECT, related_name="grid", primary_key=True)
    crs = models.TextField(max_length=systems.LONGEST_SYSTEM)
    east_0 = models.DecimalField(max_digits=11, decimal_places=3)
    north_0 = models.DecimalField(max_digits=11, decimal_places=3)
    turned_deg = models.DecimalField(max_digits=9, decimal_places=6, null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=models.Q(turned_deg=None) | (models.Q(turned_deg__gte=0) & models.Q(turned_deg__lt=360)), name="grids_grid_turned")
        ]

    def __str__(self) -> str:
        return f"grid of {self.site_id}"

    def wrongs(self) -> Iterable[Wrong]:
        return grid_wrongs(self)

    def projection(self) -> Projection:
        """The way into this grid and back. Raises Unfit where this machine's list of systems no longer knows the grid's."""
        return projection(self.crs, float(self.east_0), float(self.north_0), float(self.turned_deg or 0))
