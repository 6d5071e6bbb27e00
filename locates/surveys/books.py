"""The books of surveys: enquiries, what plans show, locates with their sweeps, traces and outcomes."""

from datetime import datetime
from typing import Any

from django.db.models import QuerySet

from locates.rules.depth import NO_PROOF
from locates.surveys import facts
from locates.surveys.registers import TABLES
from records.access import Ties
from records.book import IDENTIFIER, Ask, Book, Deed, End, Offers, Part

TABLE = {table.file: table for table in TABLES}
CORNERS = "Its corners in the site's metre grid, x and y, one corner a line; or a shape in Well-Known Text."
LETTERS = (
    "A: exposed; B: traced with a signal; C and D: less sure. A passive technique gives no better than C. "
    "What scheme the letters are of, the site's numbers in force say."
)
OF_A_LOCATE = Ties(("locate__operator",), "locate__site")


def of_site(rows: QuerySet, person: Any, at: datetime, held: dict[str, str]) -> QuerySet:
    """Enquiries of the site that the form names."""
    return rows.filter(site=held.get("site", ""))


def answered(rows: QuerySet, person: Any, at: datetime, held: dict[str, str]) -> QuerySet:
    """Enquiries that are answered."""
    return rows.filter(answered_at__isnull=False)


def of_the_enquirys_site(rows: QuerySet, person: Any, at: datetime, held: dict[str, str]) -> QuerySet:
    """Services of other answers at the site of the enquiry that the form names."""
    return rows.filter(enquiry__site__enquiries=held.get("enquiry", "")).exclude(enquiry=held.get("enquiry", ""))


def of_the_locates_site(rows: QuerySet, person: Any, at: datetime, held: dict[str, str]) -> QuerySet:
    """Services of the plans of the site of the locate that the form names."""
    return rows.filter(enquiry__site__locates=held.get("locate", ""))


def under_way(rows: QuerySet, person: Any, at: datetime, held: dict[str, str]) -> QuerySet:
    """Locates that are not finished, and the one that the form names already."""
    return rows.filter(finished_at=None)


def of_kind(kind: str) -> Offers:
    """Instruments of one kind."""

    def offered(rows: QuerySet, person: Any, at: datetime, held: dict[str, str]) -> QuerySet:
        return rows.filter(kind=kind)

    return offered


ENQUIRIES = Book(
    slug="enquiries",
    title="Enquiries",
    noun="enquiry",
    tells="Each owner of cables and pipes asked about a site, and the owner's answer: the plans and how long they are good.",
    table=TABLE["enquiries.csv"],
    ties=Ties((), "site"),
    shows=("enquiry", "service_owner", "site", "sent_on", "answered_at", "good_through", "closed_on"),
    finds=("enquiry", "service_owner", "reference_no", "site__name"),
    sifts=("site", "service_owner"),
    asks=(
        Ask("enquiry", "Identifier", IDENTIFIER),
        Ask("site", "Site"),
        Ask("service_owner", "Owner", "As the site's list of owners to ask spells it."),
        Ask("sent_on", "Sent on", ready="today"),
        Ask("area", "Area asked about", f"{CORNERS} Left blank: the whole site."),
        Ask("answered_at", "Answered at", "When the answer came in. Left blank until then."),
        Ask("good_through", "Good through", "Only where the owner prints a date on the answer."),
        Ask("nothing_shown", "The plans show nothing here", "Say yes only where the owner says so; what the plans do show is entered as services."),
        Ask("reference_no", "Reference no.", "The owner's own."),
        Ask("replaces", "Replaces", "Earlier enquiries to the same owner, which this one takes the place of.", of_site),
        Ask("closed_on", "Closed on"),
        Ask("closed_because", "Because"),
    ),
    order="-sent_on",
    beside=("site",),
    site="site",
    prefix="E-",
    ends=(
        End("closed_on", "Give up waiting", "The owner will not answer this one: it is closed, with the reason, and another must be asked.", "closed_because"),
    ),
    parts=(
        Part("services", "enquiry", "Services that the plans show"),
        Part("wrong-plans", "enquiry", "Found wrong", empty="Nobody has said that anything in this answer is wrong."),
    ),
    files=("plan",),
)

WRONG_PLANS = Book(
    slug="wrong-plans",
    title="Plans found wrong",
    noun="plan found wrong",
    tells="Owners’ answers that proved wrong. A permit that rests on one is blocked until its owner has answered again and the ground was searched after that.",
    table=TABLE["wrong_plans.csv"],
    ties=Ties((), "enquiry__site"),
    shows=("wrong", "enquiry", "found_at", "what", "person"),
    finds=("wrong", "enquiry__enquiry", "enquiry__service_owner", "what", "told_by"),
    sifts=("enquiry", "person"),
    asks=(
        Ask("wrong", "Identifier", IDENTIFIER),
        Ask("enquiry", "Enquiry", "Whose answer is wrong.", answered),
        Ask("found_at", "Found wrong at", "When it was known; not before the answer came in.", ready="now"),
        Ask("person", "Found by", ready="self"),
        Ask("told_by", "Told by", "Where somebody else told it: the owner, a crew, a neighbour."),
        Ask("what", "What is wrong", "What the plans show, and what is there."),
    ),
    order="-found_at",
    beside=("enquiry", "enquiry__site", "person"),
    site="enquiry__site",
    prefix="WP-",
    files=("photograph",),
    weighs=True,
)

SERVICES = Book(
    slug="services",
    title="Services on plans",
    noun="service",
    tells="Each cable and pipe that an owner's answer shows. Every one of them must be accounted for by the locate.",
    table=TABLE["plan_services.csv"],
    ties=Ties((), "enquiry__site"),
    shows=("service", "utility", "conductive", "enquiry", "note"),
    finds=("service", "note", "enquiry__enquiry", "enquiry__service_owner"),
    sifts=("utility", "conductive", "enquiry"),
    asks=(
        Ask("service", "Identifier", IDENTIFIER),
        Ask("enquiry", "Enquiry"),
        Ask("utility", "Utility"),
        Ask("conductive", "Does it conduct?", "A metal pipe or cable does; plastic without a tracer wire, clay and concrete do not."),
        Ask("same_as", "The same as", "Services of earlier answers of the same owner that are this same one.", of_the_enquirys_site),
        Ask("note", "Note", "Size, material, depth as the plan has them."),
    ),
    order="service",
    beside=("enquiry", "enquiry__site"),
    site="enquiry__site",
    prefix="V-",
    parts=(
        Part("planned-lines", "service", "Where the plan shows it"),
        Part("ratings", "service", "Voltage and pressure"),
        Part("owner-agreements", "service", "Agreements with its owner"),
    ),
)

LOCATES = Book(
    slug="locates",
    title="Locates",
    noun="locate",
    tells="One search of the ground by one operator. Once it is finished it no longer changes.",
    table=TABLE["locates.csv"],
    ties=Ties(("operator",), "site"),
    shows=("locate", "site", "operator", "started_at", "finished_at", "receiver"),
    finds=("locate", "site__name", "operator__name"),
    sifts=("site", "operator"),
    asks=(
        Ask("locate", "Identifier", IDENTIFIER),
        Ask("site", "Site"),
        Ask("operator", "Operator", ready="self"),
        Ask("receiver", "Receiver", "", of_kind("receiver")),
        Ask("transmitter", "Transmitter", "Owed for induction, direct connection and clamp.", of_kind("transmitter")),
        Ask("clamp", "Clamp", "", of_kind("clamp")),
        Ask("sonde", "Sonde", "", of_kind("sonde")),
        Ask("started_at", "Begun at", ready="now"),
        Ask("finished_at", "Finished at"),
    ),
    order="-started_at",
    beside=("site", "operator", "receiver", "transmitter", "clamp", "sonde"),
    site="site",
    prefix="L-",
    ends=(
        End(
            "finished_at",
            "Enter when it was finished",
            "For one that was made on paper; one that is made here is finished by its operator, with the password, on its own page. It is frozen: "
            "nothing is added or changed any more.",
        ),
    ),
    deeds=(Deed("field_of", "Record it step by step", "fieldsheet.enter"), Deed("plans", "Plans against ground", "locate.see")),
    files=("photograph",),
    parts=(
        Part("sweeps", "locate", "Sweeps"),
        Part("traces", "locate", "Traces"),
        Part("outcomes", "locate", "Services accounted for without a trace"),
        Part("holes", "locate", "Trial holes"),
        Part("reports", "locate", "Reported to owners"),
        Part("positions", "locate", "Positions from phones"),
    ),
)

SWEEPS = Book(
    slug="sweeps",
    title="Sweeps",
    noun="sweep",
    tells="Ground swept by one technique in one direction: passive power and passive radio both, each both ways, and then active.",
    table=TABLE["sweeps.csv"],
    ties=OF_A_LOCATE,
    shows=("sweep", "locate", "technique", "bearing_deg", "spacing_m", "transmitter_offset_m"),
    finds=("sweep", "locate__locate"),
    sifts=("locate", "technique"),
    asks=(
        Ask("sweep", "Identifier", IDENTIFIER),
        Ask("locate", "Locate", "", under_way),
        Ask("technique", "Technique"),
        Ask("area", "Ground swept", CORNERS),
        Ask("bearing_deg", "Bearing walked, degrees", "From north, 0 to below 360. A passive sweep without one has no direction."),
        Ask("spacing_m", "Between the lines walked, metres"),
        Ask("transmitter_offset_m", "Begun so far from the transmitter, metres", "Owed for induction."),
    ),
    order="sweep",
    beside=("locate", "locate__site"),
    site="locate__site",
    prefix="SW-",
)

TRACES = Book(
    slug="traces",
    title="Traces",
    noun="trace",
    tells=f"A line followed on the ground, or a service exposed. {NO_PROOF}",
    table=TABLE["traces.csv"],
    ties=OF_A_LOCATE,
    shows=("trace", "locate", "utility", "technique", "quality_level", "depth_m"),
    finds=("trace", "locate__locate"),
    sifts=("locate", "utility", "technique", "quality_level"),
    asks=(
        Ask("trace", "Identifier", IDENTIFIER),
        Ask("locate", "Locate", "", under_way),
        Ask("utility", "Utility"),
        Ask("technique", "Technique", "Exposed: seen in a trial hole."),
        Ask("line", "Line", "Its points in the site's metre grid, x and y, one point a line; or a shape in Well-Known Text."),
        Ask("quality_level", "Quality level", LETTERS, told=facts.levels),
        Ask("width_m", "Width of the service, metres"),
        Ask("depth_m", "Depth read, metres", "From the surface to the centre of the service.", told=facts.depths, mind=NO_PROOF),
        Ask("raised_by_m", "Receiver raised by, metres", "Read the depth again from so much higher: both must fit.", told=facts.raised_by),
        Ask("raised_depth_m", "Depth read then, metres", told=facts.raised_depths),
        Ask("services", "Services of the plans that it answers", "", of_the_locates_site),
    ),
    order="trace",
    beside=("locate", "locate__site"),
    site="locate__site",
    prefix="T-",
    parts=(Part("holes", "trace", "Trial holes", ("locate",)), Part("reports", "trace", "Reported to owners", ("locate",))),
)

OUTCOMES = Book(
    slug="outcomes",
    title="Services without a trace",
    noun="outcome",
    tells="How a service of the plans was accounted for though no trace answers it, and who says so.",
    table=TABLE["outcomes.csv"],
    ties=OF_A_LOCATE,
    shows=("service", "locate", "outcome", "note"),
    finds=("service__service", "locate__locate", "note"),
    sifts=("locate", "outcome"),
    asks=(
        Ask("locate", "Locate", "", under_way),
        Ask("service", "Service", "", of_the_locates_site),
        Ask("outcome", "Outcome"),
        Ask("note", "Who says so, and on what ground"),
    ),
    beside=("locate", "locate__site", "service"),
    site="locate__site",
)

BOOKS = (ENQUIRIES, WRONG_PLANS, SERVICES, LOCATES, SWEEPS, TRACES, OUTCOMES)
