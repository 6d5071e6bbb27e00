"""The register of what was decided upon recalls. A decision stays as it was made."""

from locates.recall.models import Decision
from records.tables import always, table

TABLES = (
    table(
        "recall_decisions.csv",
        Decision,
        "decision* calibration failed_check award wrong locate permit decided* why* person* decided_at*",
        settled=always,
        extra=True,
    ),
)
CHECKS = ()
FOOTINGS = ()
READINGS = ()
