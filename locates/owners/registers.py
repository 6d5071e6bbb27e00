"""The registers of what owners are asked for: needs of rule sets, ratings of services, agreements. What was agreed or told stays as it was recorded."""

from locates.owners import across
from locates.owners.models import OwnerAgreement, OwnerNeed, Rating
from records.tables import Check, always, table

TABLES = (
    table(
        "owner_needs.csv",
        OwnerNeed,
        "rule_set* effective_from* need* needed* within_m utility service_owner methods above_kv above_bar blocks source*",
        key="rule_set effective_from need",
        settled=always,
        extra=True,
    ),
    table("service_ratings.csv", Rating, "rating* service* told_on* voltage_kv pressure_bar note*", settled=always, extra=True),
    table(
        "owner_agreements.csv",
        OwnerAgreement,
        "agreement* site* service_owner* utility service agreed* agreed_with* person* agreed_at* reference_no conditions"
        " good_from* good_through* area proved_by proved_at withdrawn_on withdrawn_because",
        settled=always,
        beside={"service": ("enquiry",)},
        site="site",
        extra=True,
    ),
)
CHECKS = (
    Check("sites.csv", frozenset({"time_zone"}), across.by_the_clock),
    Check("plan_services.csv", frozenset({"enquiry"}), across.moved_services),
    Check("enquiries.csv", frozenset({"site", "service_owner"}), across.moved_enquiries),
)
FOOTINGS = ()
READINGS = ()
