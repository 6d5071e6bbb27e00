"""The books of the firm: sites, people, postings, numbers in force."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from records.access import Ties
from records.book import IDENTIFIER, Ask, Book, Deed, End, Extra, Part
from records.firm.facts import PEOPLE_TIES
from records.firm.registers import TABLES
from records.rules.numbers import EVERY_NUMBER

TABLE = {table.file: table for table in TABLES}
NO_GRID = (
    "Not entered: positions told by satellites, tracks and maps cannot come into its metres. "
    "The office enters the coordinate system and the origin, as whoever set the grid out gives them."
)


def number_says(key: str) -> str:
    """What a number is for, and the name that files have for it."""
    return f"{EVERY_NUMBER[key].meaning} ({key})"


def meanings(rules: Sequence[Any], at: datetime) -> dict[Any, str]:
    """What each number is for, and what holds where no rule set says otherwise."""
    return {rule.pk: f"{EVERY_NUMBER[rule.key].meaning}; {EVERY_NUMBER[rule.key].default} where nothing is set" for rule in rules}


SITES = Book(
    slug="sites",
    title="Sites",
    noun="site",
    tells="Places of work: each with its own clock, its numbers in force, and the owners to ask before a dig.",
    table=TABLE["sites.csv"],
    ties=Ties(("postings__person",), "pk"),
    shows=("site", "name", "time_zone", "rule_set"),
    finds=("site", "name", "owners_to_ask"),
    sifts=("rule_set",),
    asks=(
        Ask("site", "Identifier", IDENTIFIER),
        Ask("name", "Name", "As it stands on the permit."),
        Ask("time_zone", "Time zone", "Days and times of all that happens here are told in it."),
        Ask("rule_set", "Numbers in force", "The set of numbers by which permits here are judged."),
        Ask("owners_to_ask", "Owners to ask", "Every owner of cables and pipes that must be asked before a dig here, one a line."),
    ),
    order="name",
    beside=("rule_set",),
    prefix="S-",
    weighs=True,
    parts=(
        Part("grids", "site", "How its grid lies on the Earth", empty=NO_GRID),
        Part("postings", "site", "Who works here"),
        Part("enquiries", "site", "Owners asked"),
        Part("owner-agreements", "site", "Agreements with owners"),
        Part("locates", "site", "Locates"),
    ),
)

PEOPLE = Book(
    slug="people",
    title="People",
    noun="person",
    tells="Everyone who signs, searches or digs, of the firm or working for it.",
    table=TABLE["people.csv"],
    ties=PEOPLE_TIES,
    shows=("person", "name", "employer", "roles", "left_on"),
    finds=("person", "name", "employer", "email"),
    sifts=("roles", "employer"),
    asks=(
        Ask("person", "Identifier", f"{IDENTIFIER} They sign in with it."),
        Ask("name", "Name", "As it is printed on permits."),
        Ask("email", "Mail", "Where an invitation to sign in goes, and a new password."),
        Ask("employer", "Employer"),
        Ask("roles", "Roles", "What they do here. Where, their postings say. Who only digs needs none."),
        Ask("left_on", "Last day", "From the day after they can sign nothing and no longer come in. Who comes back is a new person."),
    ),
    order="name",
    prefix="P-",
    ends=(End("left_on", "Note that they left", "From the day after their last one they can sign nothing and no longer come in."),),
    deeds=(Deed("dates", "Dates and instruments", "person.see"), Deed("access", "How they come in", "person.enter")),
    parts=(
        Part("awards", "person", "Awards"),
        Part("postings", "person", "Postings"),
        Part("locates", "operator", "Locates"),
        Part("checks", "person", "Checks made"),
    ),
)

POSTINGS = Book(
    slug="postings",
    title="Postings",
    noun="posting",
    tells="Who works at which site in which role, and from when: it says what they see and may enter there.",
    table=TABLE["postings.csv"],
    ties=Ties(("person",), "site"),
    shows=("posting", "person", "site", "role", "begins_on", "ends_on"),
    finds=("posting", "person__name", "person__person", "site__name"),
    sifts=("site", "role"),
    asks=(
        Ask("posting", "Identifier", IDENTIFIER),
        Ask("person", "Person"),
        Ask("site", "Site"),
        Ask("role", "Role there", "It counts while it is also one of the person's own roles."),
        Ask("begins_on", "First day", ready="today"),
        Ask("ends_on", "Last day", "Left blank: until further notice."),
    ),
    order="-begins_on",
    beside=("person", "site"),
    prefix="N-",
)

RULES = Book(
    slug="rules",
    title="Numbers in force",
    noun="number in force",
    tells="The numbers by which permits are judged, each from a day on and with its source. A change is a new one with a later day.",
    table=TABLE["rules.csv"],
    ties=Ties(),
    shows=("key", "rule_set", "effective_from", "value", "source"),
    finds=("key", "source", "rule_set__rule_set"),
    sifts=("rule_set", "key"),
    asks=(
        Ask("rule_set", "Rule set", "The name of one that sites use already, or a new one, which holds nowhere until a site names it."),
        Ask("effective_from", "From the day", ready="today"),
        Ask("key", "Number", spoken=number_says),
        Ask("value", "Value", "In metres, days, hours or as a share, as the number asks; or yes or no; or one of the words that it names."),
        Ask("source", "Source", "The law, the standard or the decision that it comes from."),
    ),
    order="-effective_from",
    extras=(Extra("What it is for", meanings),),
    beside=("rule_set",),
    weighs=True,
)

BOOKS = (SITES, PEOPLE, POSTINGS, RULES)
