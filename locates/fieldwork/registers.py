"""The registers of field work: the sheets that locates are made on, and the positions that phones gave."""

from locates.fieldwork.models import FieldSheet, Fix
from records.tables import table

TABLES = (
    table(
        "field_sheets.csv",
        FieldSheet,
        "sheet* locate* outline depth_m method plans_seen marks marks_note marked_at short_of",
        whole="locate",
        beside={"locate": ("site",)},
        site="locate__site",
        extra=True,
    ),
    table("fixes.csv", Fix, "fix* locate* taken_at* lon* lat* accuracy_m* x* y* note", whole="locate", site="locate__site", extra=True),
)
CHECKS = ()
FOOTINGS = ()
READINGS = ()
