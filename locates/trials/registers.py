"""The registers of trial holes, of planned lines, and of reports to owners. What was measured or told stays as it was recorded."""

from locates.trials import across
from locates.trials.models import PlannedLine, Report, TrialHole
from records.tables import Check, always, table

TABLES = (
    table(
        "trial_holes.csv",
        TrialHole,
        "hole* locate* trace exposed_at* person* x* y* utility* depth_m* width_m note",
        settled=always,
        site="locate__site",
        extra=True,
    ),
    table("planned_lines.csv", PlannedLine, "service* line* accuracy_m note", extra=True),
    table(
        "reports.csv",
        Report,
        "report* locate* trace hole service service_owner* reported_at* person* note",
        settled=always,
        beside={"service": ("enquiry",)},
        site="locate__site",
        extra=True,
    ),
)
CHECKS = (
    Check("traces.csv", frozenset({"locate"}), across.moved_traces),
    Check("trial_holes.csv", frozenset({"locate"}), across.moved_holes),
    Check("plan_services.csv", frozenset({"enquiry"}), across.moved_services),
    Check("locates.csv", frozenset({"site"}), across.moved_locates),
)
FOOTINGS = ()
READINGS = ()
