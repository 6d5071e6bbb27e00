"""The register of permits."""

from collections.abc import Iterator
from zoneinfo import ZoneInfo

from locates.permits import across, footing
from locates.permits.models import Emergency, Following, FollowUp, Permit, SignOff
from records.base import ByCodePoint
from records.rules.dates import instant_text
from records.tables import Check, Footing, Reading, always, table


def sign_offs() -> Iterator[tuple[str, ...]]:
    """Every signature, by permit and instant: whose, when, with what meaning, and the digest of what was signed."""
    signatures = SignOff.objects.select_related("permit__site").order_by(ByCodePoint("permit_id"), "signed_at", "meaning")
    for one in signatures.iterator(chunk_size=500):
        at = instant_text(one.signed_at, ZoneInfo(one.permit.site.time_zone))
        yield one.permit_id, one.meaning, one.person_id, one.printed_name, at, one.declaration, one.digest


TABLES = (
    table(
        "permits.csv",
        Permit,
        "permit* site* locate work* outline* depth_m* method* valid_from* valid_to* issuer* receiver* crew",
        closed=footing.signed,
        site="site",
    ),
    table("followings.csv", Following, "permit* follows* why* changed*", whole="permit", extra=True),
    table("emergencies.csv", Emergency, "permit* danger* waiting* decided_by* decided_at*", whole="permit", site="permit__site", extra=True),
    table(
        "follow_ups.csv",
        FollowUp,
        "permit* number* done_at* person* owners* found* damage* why",
        key="permit number",
        settled=always,
        site="permit__permit__site",
        extra=True,
    ),
)
CHECKS = (
    Check("followings.csv", frozenset({"follows"}), across.following_rings, new=True),
    Check("permits.csv", frozenset({"site"}), across.moved_permits),
)
FOOTINGS = (
    Footing("sites.csv", frozenset({"time_zone"}), footing.on_sites),
    Footing("courses.csv", frozenset({"valid_months", "authorises"}), footing.on_courses, fewer=frozenset({"valid_months"})),
    Footing("plan_services.csv", frozenset({"enquiry", "utility", "conductive", "same_as", "note"}), footing.on_services),
    Footing("rules.csv", frozenset(), footing.on_rules, mending=True),
    Footing("awards.csv", frozenset(), footing.on_awards, mending=True),
    Footing("enquiries.csv", frozenset(), footing.on_enquiries, mending=True),
    Footing("wrong_plans.csv", frozenset(), footing.on_wrong_plans, mending=True),
    Footing("owner_needs.csv", frozenset(), footing.on_rules, mending=True),
    Footing("service_ratings.csv", frozenset(), footing.on_ratings, mending=True),
    Footing("owner_agreements.csv", frozenset(), footing.on_owner_agreements, mending=True),
)
READINGS = (Reading("signed/sign_offs.csv", "permit meaning person printed_name signed_at declaration digest", sign_offs),)
