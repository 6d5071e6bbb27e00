"""The register of grids."""

from locates.grids.models import Grid
from records.tables import always, table

TABLES = (table("grids.csv", Grid, "site* crs* east_0* north_0* turned_deg", settled=always, extra=True),)
CHECKS = ()
FOOTINGS = ()
READINGS = ()
