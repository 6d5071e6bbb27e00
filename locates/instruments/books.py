"""The books of instruments: instruments, calibrations, checks."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from locates.instruments.registers import TABLES
from records.access import Ties
from records.book import IDENTIFIER, Ask, Book, Deed, End, Extra, Many, Part
from records.rules.dates import add_months, day_says

TABLE = {table.file: table for table in TABLES}


def due(calibrations: Sequence[Any], at: datetime) -> dict[Any, str]:
    """The last day of each calibration, later ones aside."""
    return {one.pk: _due(one) for one in calibrations}


def _due(calibration: Any) -> str:
    months = calibration.instrument.calibration_months
    if months is None:
        return "none needed"
    last = calibration.due_on or add_months(calibration.calibrated_on, months)
    return "for ever" if last is None else day_says(last)


INSTRUMENTS = Book(
    slug="instruments",
    title="Instruments",
    noun="instrument",
    tells="Receivers, transmitters, clamps and sondes, each with what it needs to be believed.",
    table=TABLE["instruments.csv"],
    ties=Ties(),
    shows=("instrument", "kind", "serial_no", "description", "out_of_service_from"),
    finds=("instrument", "serial_no", "description"),
    sifts=("kind",),
    asks=(
        Ask("instrument", "Identifier", f"{IDENTIFIER} It may be the label on its case."),
        Ask("kind", "Kind"),
        Ask("serial_no", "Serial no."),
        Ask("description", "Description"),
        Ask("calibration_months", "Months from one calibration to the next", "To the corresponding day; none: it needs no calibration."),
        Ask("self_test_days", "Days from one self-test to the next", "None: it needs none."),
        Ask("hired_until", "Hired until"),
        Ask("out_of_service_from", "Out of service from", "A locate that ends on that day or later cannot rest on it."),
    ),
    order="instrument",
    prefix="I-",
    ends=(End("out_of_service_from", "Take it out of service", "A locate that ends on that day or later cannot rest on it."),),
    deeds=(Deed("check", "Check before use", "check.enter"),),
    parts=(Part("calibrations", "instrument", "Calibrations"), Part("checks", "instrument", "Checks")),
)

CALIBRATIONS = Book(
    slug="calibrations",
    title="Calibrations",
    noun="calibration",
    tells="What a laboratory found and left. What was found out of tolerance casts doubt on the locates before it.",
    table=TABLE["calibrations.csv"],
    ties=Ties(),
    shows=("calibration", "instrument", "calibrated_on", "as_found", "as_left", "laboratory"),
    finds=("calibration", "instrument__instrument", "instrument__serial_no", "certificate_no", "laboratory"),
    sifts=("instrument", "as_found", "as_left"),
    asks=(
        Ask("calibration", "Identifier", IDENTIFIER),
        Ask("instrument", "Instrument"),
        Ask("calibrated_on", "Calibrated on", ready="today"),
        Ask("as_found", "As found", "Before anything was adjusted."),
        Ask("as_left", "As left"),
        Ask("due_on", "Due on", "Only where the certificate itself prints an earlier day than the instrument's months give."),
        Ask("laboratory", "Laboratory"),
        Ask("certificate_no", "Certificate no."),
    ),
    order="-calibrated_on",
    extras=(Extra("Good through", due),),
    beside=("instrument",),
    prefix="K-",
    files=("certificate",),
    many=Many(
        "Enter a calibration run",
        "One laboratory, one day, every instrument that was there.",
        over="instrument",
        same=("calibrated_on", "laboratory"),
        each=("as_found", "as_left", "certificate_no", "due_on"),
    ),
    weighs=True,
)

CHECKS = Book(
    slug="checks",
    title="Checks",
    noun="check",
    tells="Checks before use and self-tests: who made them, when, and whether the instrument passed.",
    table=TABLE["checks.csv"],
    ties=Ties(("person",)),
    shows=("check", "instrument", "kind", "checked_at", "result", "person", "note"),
    finds=("check_id", "instrument__instrument", "person__name", "note"),
    sifts=("instrument", "kind", "result"),
    asks=(
        Ask("check", "Identifier", IDENTIFIER),
        Ask("instrument", "Instrument"),
        Ask("kind", "Kind", ready="before_use"),
        Ask("checked_at", "When", ready="now"),
        Ask("person", "By", ready="self"),
        Ask("result", "Result"),
        Ask("note", "Note", "Over what it was tried, and what it showed."),
    ),
    order="-checked_at",
    beside=("instrument", "person"),
    prefix="B-",
)

BOOKS = (INSTRUMENTS, CALIBRATIONS, CHECKS)
