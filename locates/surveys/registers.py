"""The registers of surveys: enquiries, services of the plans, locates, sweeps, traces, outcomes."""

from locates.surveys import across, footing
from locates.surveys.models import Enquiry, Locate, Outcome, PlanService, Sweep, Trace, WrongPlan
from records.tables import Check, Footing, always, table


def answered(enquiry: Enquiry) -> bool:
    return enquiry.answered_at is not None


TABLES = (
    table(
        "enquiries.csv",
        Enquiry,
        "enquiry* site* service_owner* sent_on* area answered_at good_through nothing_shown reference_no replaces closed_on closed_because",
        settled=answered,
        site="site",
    ),
    table("wrong_plans.csv", WrongPlan, "wrong* enquiry* found_at* person* told_by what*", settled=always, site="enquiry__site", extra=True),
    table("plan_services.csv", PlanService, "service* enquiry* utility* conductive* same_as note"),
    table(
        "locates.csv",
        Locate,
        "locate* site* operator* receiver* transmitter clamp sonde started_at* finished_at",
        closed=footing.finished,
        site="site",
    ),
    table("sweeps.csv", Sweep, "sweep* locate* technique* area* bearing_deg spacing_m transmitter_offset_m", whole="locate"),
    table(
        "traces.csv",
        Trace,
        "trace* locate* utility* technique* line* quality_level* width_m depth_m raised_by_m raised_depth_m services",
        whole="locate",
    ),
    table("outcomes.csv", Outcome, "locate* service* outcome* note*", key="locate service", whole="locate", beside={"service": ("enquiry",)}),
)
CHECKS = (
    Check("sites.csv", frozenset({"time_zone"}), across.answers_by_the_clock),
    Check("instruments.csv", frozenset({"kind"}), across.instruments_of_another_kind),
    Check("enquiries.csv", frozenset({"replaces", "site", "service_owner", "sent_on"}), across.replacements),
    Check("enquiries.csv", frozenset({"replaces", "sent_on"}), across.replacement_rings),
    Check("enquiries.csv", frozenset({"answered_at"}), across.found_wrong_before),
    Check("enquiries.csv", frozenset({"nothing_shown"}), across.services_beside_nothing_shown),
    Check("plan_services.csv", frozenset({"same_as", "enquiry", "utility", "conductive"}), across.samenesses),
    Check("plan_services.csv", frozenset({"enquiry"}), across.moved_services),
    Check("locates.csv", frozenset({"site"}), across.moved_locates),
    Check("traces.csv", frozenset({"services", "locate"}), across.traced_elsewhere),
)
# what is settled, and so what a finished locate keeps from being put right
SETTLED = {
    "grids.csv": footing.on_grids,
    "rules.csv": footing.on_rules,
    "awards.csv": footing.on_awards,
    "calibrations.csv": footing.on_calibrations,
    "checks.csv": footing.on_checks,
    "enquiries.csv": footing.on_enquiries,
}
FOOTINGS = (
    Footing("sites.csv", frozenset({"time_zone"}), footing.on_sites),
    Footing("courses.csv", frozenset({"valid_months", "authorises"}), footing.on_courses, fewer=frozenset({"valid_months"})),
    Footing(
        "instruments.csv",
        frozenset({"kind", "calibration_months", "self_test_days"}),
        footing.on_instruments,
        fewer=frozenset({"calibration_months", "self_test_days"}),
    ),
    Footing("plan_services.csv", frozenset({"enquiry", "utility", "conductive", "same_as", "note"}), footing.on_services),
    *(Footing(file, frozenset(), resting, mending=True) for file, resting in SETTLED.items()),
)
READINGS = ()
