"""The registers of surveys: enquiries, services of the plans, locates, sweeps, traces, outcomes."""

from locates.surveys.models import Enquiry, Locate, Outcome, PlanService, Sweep, Trace
from records.tables import table


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
    table("plan_services.csv", PlanService, "service* enquiry* utility* conductive* same_as note"),
    table("locates.csv", Locate, "locate* site* operator* receiver* transmitter clamp sonde started_at* finished_at", site="site"),
    table("sweeps.csv", Sweep, "sweep* locate* technique* area* bearing_deg spacing_m transmitter_offset_m", whole="locate"),
    table(
        "traces.csv",
        Trace,
        "trace* locate* utility* technique* line* quality_level* width_m depth_m raised_by_m raised_depth_m services",
        whole="locate",
    ),
    table("outcomes.csv", Outcome, "locate* service* outcome* note*", key="locate service", whole="locate", beside={"service": ("enquiry",)}),
)
FOOTINGS = ()
