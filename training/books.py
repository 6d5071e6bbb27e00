"""The books of training: courses and awards."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from records.access import Ties
from records.book import IDENTIFIER, Ask, Book, End, Extra, Many, Part
from records.rules.dates import add_months, day_says
from training.registers import TABLES
from training.rules.needs import SOURCE

TABLE = {table.file: table for table in TABLES}


def good_through(awards: Sequence[Any], at: datetime) -> dict[Any, str]:
    """The last good day of each award, withdrawals aside."""
    return {award.pk: _last_day(award) for award in awards}


def _last_day(award: Any) -> str:
    if award.withdrawn_on is not None:
        return f"withdrawn on {day_says(award.withdrawn_on)}"
    months = award.course.valid_months
    last = award.expires_on or (None if months is None else add_months(award.awarded_on, months))
    return "does not expire" if last is None else day_says(last)


COURSES = Book(
    slug="courses",
    title="Courses",
    noun="course",
    tells="What is taught, what it allows people to do, and for how long.",
    table=TABLE["courses.csv"],
    ties=Ties(),
    shows=("course", "title", "authorises", "valid_months"),
    finds=("course", "title"),
    sifts=("authorises",),
    asks=(
        Ask("course", "Identifier", IDENTIFIER),
        Ask("title", "Title", "As it stands on the certificate."),
        Ask("authorises", "It allows", "What someone who passed may do."),
        Ask("valid_months", "Good for so many months", "From the day of the award, to the corresponding day; none: it does not expire."),
    ),
    order="title",
    prefix="C-",
    parts=(Part("awards", "course", "Awards"),),
)

AWARDS = Book(
    slug="awards",
    title="Awards",
    noun="award",
    tells="Who passed which course on which day. A renewal is a new award.",
    table=TABLE["awards.csv"],
    ties=Ties(("person",), "person__postings__site"),
    shows=("award", "person", "course", "awarded_on"),
    finds=("award", "person__name", "person__person", "course__title", "certificate_no", "assessor"),
    sifts=("course", "person"),
    asks=(
        Ask("award", "Identifier", IDENTIFIER),
        Ask("person", "Person"),
        Ask("course", "Course"),
        Ask("awarded_on", "Passed on", "The day on the certificate.", ready="today"),
        Ask("expires_on", "Good through", "Only where the certificate itself prints an earlier day than the course gives."),
        Ask("certificate_no", "Certificate no."),
        Ask("assessor", "Assessor"),
        Ask("withdrawn_on", "Withdrawn on", "From the beginning of that day the person is no longer covered, by this award or any earlier one for the same."),
        Ask("withdrawn_because", "Because"),
    ),
    order="-awarded_on",
    extras=(Extra("Good through", good_through),),
    ends=(
        End(
            "withdrawn_on",
            "Withdraw it",
            "It ends this and every earlier award of the person for the same things; permits that rest on it are blocked.",
            "withdrawn_because",
        ),
    ),
    beside=("person", "course"),
    prefix="A-",
    files=("certificate",),
    many=Many(
        "Enter a training day",
        "One course, one day, everyone who passed.",
        over="person",
        same=("course", "awarded_on", "expires_on", "assessor"),
        each=("certificate_no",),
    ),
)

NEEDS = Book(
    slug="needs",
    title="Needs of roles",
    noun="need",
    tells="What whoever works in a role must be in date for, from a day on. It shows gaps; whether a permit may be signed, the gate"
    f" asks of its own. Where nothing is set: {SOURCE}.",
    table=TABLE["needs.csv"],
    ties=Ties(),
    shows=("need", "role", "effective_from", "authorises", "source"),
    finds=("need", "source"),
    sifts=("role",),
    asks=(
        Ask("need", "Identifier", IDENTIFIER),
        Ask("role", "Role", "Crew: whoever digs and has no role of their own."),
        Ask("effective_from", "From the day", ready="today"),
        Ask("authorises", "They must be in date for"),
        Ask("source", "Source", "The law, the standard or the decision that it comes from."),
    ),
    order="-effective_from",
    prefix="NE-",
)

BOOKS = (COURSES, NEEDS, AWARDS)
