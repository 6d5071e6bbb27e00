"""The register of permits."""

from locates.permits.models import Permit
from records.tables import table

TABLES = (
    table(
        "permits.csv",
        Permit,
        "permit* site* locate work* outline* depth_m* method* valid_from* valid_to* issuer* receiver* crew",
        site="site",
    ),
)
FOOTINGS = ()
