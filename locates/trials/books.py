"""The books of trial holes, planned lines and reports to owners."""

from datetime import datetime
from typing import Any

from django.db.models import QuerySet

from locates.trials.registers import TABLES
from records.access import Ties
from records.book import IDENTIFIER, Ask, Book, Part

TABLE = {table.file: table for table in TABLES}
OF_A_LOCATE = Ties(("locate__operator",), "locate__site")


def of_the_locate(rows: QuerySet, person: Any, at: datetime, held: dict[str, str]) -> QuerySet:
    """Traces or trial holes of the locate that the form names."""
    return rows.filter(locate=held.get("locate", ""))


def of_the_locates_site(rows: QuerySet, person: Any, at: datetime, held: dict[str, str]) -> QuerySet:
    """Services of the plans of the site of the locate that the form names."""
    return rows.filter(enquiry__site__locates=held.get("locate", ""))


HOLES = Book(
    slug="holes",
    title="Trial holes",
    noun="trial hole",
    tells="A service exposed, and how deep it lies: the only proof of a depth, and the measure of how far readings from the surface are to be believed.",
    table=TABLE["trial_holes.csv"],
    ties=OF_A_LOCATE,
    shows=("hole", "locate", "trace", "utility", "depth_m", "exposed_at"),
    finds=("hole", "locate__locate", "trace__trace", "note"),
    sifts=("locate", "utility", "person"),
    asks=(
        Ask("hole", "Identifier", IDENTIFIER),
        Ask("locate", "Locate", "A finished one too: a hole dug later adds to what is known and changes nothing that was found."),
        Ask("trace", "Trace", "Whose line was exposed. Left blank: something was found that no trace shows.", of_the_locate),
        Ask("exposed_at", "Exposed at", ready="now"),
        Ask("person", "By", "Who saw and measured it.", ready="self"),
        Ask("x", "East, metres", "In the site's metre grid."),
        Ask("y", "North, metres"),
        Ask("utility", "Utility", "What it proved to be, whatever the trace says."),
        Ask("depth_m", "Depth to its centre, metres", "Measured with a tape from the surface to the centre, not to the top."),
        Ask("width_m", "Width of the service, metres", "Outside diameter."),
        Ask("note", "Note", "Material, state, what lies beside it."),
    ),
    order="-exposed_at",
    beside=("locate", "locate__site", "trace", "person"),
    site="locate__site",
    prefix="H-",
    files=("photograph",),
    parts=(Part("reports", "hole", "Reported to owners", ("locate",)),),
)

LINES = Book(
    slug="planned-lines",
    title="Planned lines",
    noun="planned line",
    tells="Where an owner's plan shows a service. Beside what was traced it tells how far plan and ground agree; no permit is judged by it.",
    table=TABLE["planned_lines.csv"],
    ties=Ties((), "service__enquiry__site"),
    shows=("service", "accuracy_m", "note"),
    finds=("service__service", "service__enquiry__service_owner", "note"),
    asks=(
        Ask("service", "Service of the plans"),
        Ask("line", "Line", "Its points in the site's metre grid, x and y, one point a line; or a shape in Well-Known Text."),
        Ask("accuracy_m", "Good to, metres", "How far it may be off, where the owner's plan says so. Most plans say nothing."),
        Ask("note", "Note", "Which sheet of the plan, and how the line was taken from it."),
    ),
    order="service",
    beside=("service", "service__enquiry", "service__enquiry__site"),
    site="service__enquiry__site",
)

REPORTS = Book(
    slug="reports",
    title="Reports to owners",
    noun="report",
    tells="What owners were told of: services that no plan shows, and services that lie elsewhere than the plan has them.",
    table=TABLE["reports.csv"],
    ties=OF_A_LOCATE,
    shows=("report", "locate", "service_owner", "trace", "hole", "service", "reported_at", "person"),
    finds=("report", "service_owner", "locate__locate", "note"),
    sifts=("locate", "service_owner", "person"),
    asks=(
        Ask("report", "Identifier", IDENTIFIER),
        Ask("locate", "Locate"),
        Ask("trace", "Trace", "The line that was found.", of_the_locate),
        Ask("hole", "Trial hole", "Where it was exposed.", of_the_locate),
        Ask("service", "Service of the plans", "Where a plan has it, though elsewhere.", of_the_locates_site),
        Ask("service_owner", "Owner told"),
        Ask("reported_at", "When", ready="now"),
        Ask("person", "By", ready="self"),
        Ask("note", "Note", "How it was told, and the owner's reference."),
    ),
    order="-reported_at",
    beside=("locate", "locate__site", "trace", "hole", "service", "person"),
    site="locate__site",
    prefix="R-",
)

BOOKS = (HOLES, LINES, REPORTS)
