"""The books of what owners are asked for: needs of rule sets, voltages and pressures, agreements."""

from datetime import datetime
from typing import Any

from django.db.models import QuerySet

from locates.owners.registers import TABLES
from locates.owners.rules.terms import AGREED, NOTHING, OWED
from records.access import Ties
from records.book import IDENTIFIER, Ask, Book, End
from records.rules.words import spoken

TABLE = {table.file: table for table in TABLES}


def needed_says(word: str) -> str:
    """What a row asks of the owner."""
    return "nothing any more: this row lifts the need" if word == NOTHING else f"the owner must {OWED[word]}"


def agreed_says(word: str) -> str:
    """What the owner agreed to."""
    return AGREED.get(word, spoken(word))


def of_the_site(rows: QuerySet, person: Any, at: datetime, held: dict[str, str]) -> QuerySet:
    """Services of the plans of the site that the form names."""
    return rows.filter(enquiry__site=held.get("site", ""))


NEEDS = Book(
    slug="owner-needs",
    title="Owners’ conditions",
    noun="owner’s condition",
    tells="Near which services their owner must be consulted, stand by or isolate, by rule set and from a day on. A change is a new row with a later"
    " day. Where a rule set has no row, the gate asks owners for their plans and for nothing more; their own rules and local law come first all the same.",
    table=TABLE["owner_needs.csv"],
    ties=Ties(),
    shows=("need", "rule_set", "effective_from", "needed", "within_m", "utility", "service_owner", "methods", "blocks"),
    finds=("need", "source", "service_owner", "rule_set__rule_set"),
    sifts=("rule_set", "needed", "utility"),
    asks=(
        Ask("rule_set", "Rule set", "The name of one that has a number in force already."),
        Ask("effective_from", "From the day", ready="today"),
        Ask("need", "Its name", "Short; a later row of the same name takes the place of this one."),
        Ask("needed", "What is needed", spoken=needed_says),
        Ask("within_m", "Within, metres", "From the dig's outline to the edge of the service: 0 to 50."),
        Ask("utility", "Utility", "Left blank: any. What could not be told apart on the ground counts as every one of them."),
        Ask("service_owner", "Owner", "Left blank: any. As enquiries spell it."),
        Ask("methods", "Where the dig is by", "Left blank: by any method."),
        Ask("above_kv", "Above so many kV", "Only of cables over that voltage, and of those whose voltage is not on record."),
        Ask("above_bar", "Above so many bar", "Only of pipes over that pressure, and of those whose pressure is not on record."),
        Ask("blocks", "It stops every sign-off", "No: it is said as a caution and stops nothing."),
        Ask("source", "Source", "The law, the guidance, the owner's rule or the decision that it comes from."),
    ),
    order="-effective_from",
    beside=("rule_set",),
    weighs=True,
)

RATINGS = Book(
    slug="ratings",
    title="Voltages and pressures",
    noun="rating",
    tells="At what voltage a cable or at what pressure a pipe of the plans runs, as its owner told. What is not on record is taken as above every limit.",
    table=TABLE["service_ratings.csv"],
    ties=Ties((), "service__enquiry__site"),
    shows=("rating", "service", "told_on", "voltage_kv", "pressure_bar", "note"),
    finds=("rating", "service__service", "service__enquiry__service_owner", "note"),
    asks=(
        Ask("rating", "Identifier", IDENTIFIER),
        Ask("service", "Service of the plans"),
        Ask("told_on", "Told on", "It counts from that day on; a later one takes its place.", ready="today"),
        Ask("voltage_kv", "Voltage, kV"),
        Ask("pressure_bar", "Pressure, bar"),
        Ask("note", "By whose word", "Who at the owner told it, or which sheet of the plans says so."),
    ),
    order="-told_on",
    beside=("service", "service__enquiry", "service__enquiry__site"),
    site="service__enquiry__site",
    prefix="VP-",
    weighs=True,
)

AGREEMENTS = Book(
    slug="owner-agreements",
    title="Agreements with owners",
    noun="agreement with an owner",
    tells="What owners agreed to for work near their services, in their own words: it is printed on the permits that it concerns. It takes nothing from the"
    " owner's rules, and makes no ground safe.",
    table=TABLE["owner_agreements.csv"],
    ties=Ties((), "site"),
    shows=("agreement", "service_owner", "site", "agreed", "good_from", "good_through", "withdrawn_on"),
    finds=("agreement", "service_owner", "reference_no", "agreed_with", "conditions", "site__name"),
    sifts=("site", "service_owner"),
    asks=(
        Ask("agreement", "Identifier", IDENTIFIER),
        Ask("site", "Site"),
        Ask("service_owner", "Owner", "As the enquiry spells it."),
        Ask("utility", "Utility", "Of the owner's services only these. Left blank, with no service named: all of the owner's."),
        Ask("service", "Service of the plans", "Only this one.", of_the_site),
        Ask("agreed", "What was agreed", spoken=agreed_says),
        Ask("agreed_with", "With whom", "The person at the owner, and how to reach them."),
        Ask("person", "Recorded by", ready="self"),
        Ask("agreed_at", "Agreed at", "It counts from then on, and not for what was signed before.", ready="now"),
        Ask("reference_no", "Owner's reference"),
        Ask("conditions", "In the owner's words", "What the owner asks of the work. It is printed on the permit as it stands here."),
        Ask("good_from", "Good from", ready="today"),
        Ask("good_through", "Good through", "The last day, at most 366 after the first."),
        Ask(
            "area",
            "For which ground",
            "Its corners in the site's metre grid, x and y, one corner a line; or a shape in Well-Known Text. Left blank: the whole site.",
        ),
        Ask("proved_by", "Proved dead or shut off by", "Isolated only: who proved it. Until that is on record, it does not count as isolated."),
        Ask("proved_at", "Proved at"),
        Ask("withdrawn_on", "Withdrawn on", "From the beginning of that day it no longer counts."),
        Ask("withdrawn_because", "Because"),
    ),
    order="-agreed_at",
    ends=(
        End("withdrawn_on", "Note that it was taken back", "From that day on it no longer counts; permits that rest on it are blocked.", "withdrawn_because"),
    ),
    beside=("site", "service", "service__enquiry", "person"),
    site="site",
    prefix="AG-",
    files=("the owner’s letter",),
    weighs=True,
)

BOOKS = (NEEDS, RATINGS, AGREEMENTS)
