"""The instruments that the locate needed: named, in service, calibrated, checked, and not recalled since."""

from collections.abc import Iterator

from locates.permits.rules.frame import Frame
from locates.permits.rules.people import due
from locates.permits.rules.window import inner
from locates.rules.fitness import (
    Calibration,
    Instrument,
    calibration_failure,
    calibration_spans,
    check_failure,
    known_calibrations,
    known_checks,
    recalls,
    self_test_holds,
    self_test_span,
)
from records.rules.cover import Failure, Span, first_gap, unbroken_end
from records.rules.dates import day_start
from records.rules.verdict import Finding

CALIBRATION_REMEDY = "Have it calibrated; locate again with an instrument in calibration if this one was not, all through the locate."


def subject(instrument: Instrument) -> str:
    return f"instrument:{instrument.instrument}"


def said(instrument: Instrument) -> str:
    return f"The {instrument.kind} {instrument.instrument} (serial number {instrument.serial_no})"


def blocks(frame: Frame) -> Iterator[Finding]:
    for kind, instrument in frame.instruments:
        if instrument is None:
            told = f"Locate {frame.locate.locate} used a technique that needs a {kind}, and names none."
            yield Finding("instrument.none", f"locate:{frame.locate.locate}/{kind}", told, f"Record which {kind} is used{frame.anew}.")
            continue
        yield from _out_of_service(frame, instrument)
        yield from _calibration(frame, instrument)
        yield from _checks(frame, instrument)
        yield from _self_test(frame, instrument)
        yield from _recalled(frame, instrument)


def _out_of_service(frame: Frame, instrument: Instrument) -> Iterator[Finding]:
    day = instrument.out_of_service_from
    if day is not None and day <= frame.day_of(frame.locate_ends):
        told = f"{said(instrument)} is out of service from {frame.says(day)}."
        yield Finding("instrument.out_of_service", subject(instrument), told, "Locate again with another instrument.", day_start(day, frame.zone))


def calibrations(frame: Frame, instrument: Instrument) -> tuple[list[Calibration], list[Span]]:
    """The calibrations known now, in order, and the time that each covers."""
    known = known_calibrations(instrument, frame.today)
    return known, calibration_spans(known, instrument.calibration_months, frame.zone)


def _calibration(frame: Frame, instrument: Instrument) -> Iterator[Finding]:
    if instrument.calibration_months is None:
        return
    known, spans = calibrations(frame, instrument)
    gaps = (first_gap(spans, frame.locate.started_at, frame.locate_ends), first_gap(spans, frame.at, frame.at))
    for gap in gaps:
        if gap is not None:
            failure = calibration_failure(known, spans, gap, frame.zone)
            yield Finding(f"instrument.{failure.how}", subject(instrument), _calibration_says(frame, instrument, failure), CALIBRATION_REMEDY, failure.since)


def _calibration_says(frame: Frame, instrument: Instrument, failure: Failure) -> str:
    if failure.how == "not_yet_calibrated":
        return f"{said(instrument)} had not been calibrated."
    if failure.how == "calibration_failed":
        return f"{said(instrument)} was not left in tolerance by calibration {failure.source} of {frame.says(frame.day_of(failure.since))}."
    if failure.since is None:
        return f"{said(instrument)} has no calibration in force (the latest is {failure.source})."
    return f"{said(instrument)} was in calibration only through {frame.last_day(failure.since)} (calibration {failure.source})."


def _checks(frame: Frame, instrument: Instrument) -> Iterator[Finding]:
    hours = frame.numbers.whole("check_valid_hours")
    failure = check_failure(known_checks(instrument, frame.at), frame.locate.started_at, frame.locate_ends, hours)
    if failure is None:
        return
    code, bad = failure
    if bad is not None:
        told = f"{said(instrument)} failed its check {bad.check} on {frame.says(bad.checked_at)}."
    else:
        told = f"{said(instrument)} has no passed before-use check in the {hours} hours before locate {frame.locate.locate} began."
    yield Finding(f"instrument.{code}", subject(instrument), told, "Check an instrument before use, and locate again with one that passes.")


def _self_test(frame: Frame, instrument: Instrument) -> Iterator[Finding]:
    days = instrument.self_test_days
    if days is None:
        return
    known = known_checks(instrument, frame.at)
    then, now = (self_test_holds(known, days, instant, frame.zone) for instant in (frame.locate.started_at, frame.at))
    if then and now:
        return
    began = f"was without a good self-test when locate {frame.locate.locate} began"
    lacking = ([] if then else [began]) + ([] if now else ["is without a good self-test now"])
    told = f"{said(instrument)} {' and '.join(lacking)}: a passed one is good for {days} days."
    remedy = "Run and record the self-test." if then else "Locate again with an instrument that has passed its self-test."
    yield Finding("instrument.self_test_lapsed", subject(instrument), told, remedy)


def _recalled(frame: Frame, instrument: Instrument) -> Iterator[Finding]:
    if frame.finished_at is None:
        return
    began = frame.day_of(frame.locate.started_at)
    told = {
        "recall_unknown": "was not measured as found when it was next calibrated, so what it found is in doubt",
        "recalled": "was later found out of tolerance or failed its next check, so what it found is in doubt",
    }
    for code, since in recalls(instrument, began, frame.finished_at, frame.at, frame.zone).items():
        when = frame.says(frame.day_of(since))
        yield Finding(f"instrument.{code}", subject(instrument), f"{said(instrument)} {told[code]} ({when}).", "Locate again with another instrument.", since)


def cautions(frame: Frame) -> Iterator[Finding]:
    ended = frame.day_of(frame.locate_ends) if frame.begun else None
    for instrument in frame.named_instruments:
        out, hired = instrument.out_of_service_from, instrument.hired_until
        if out is not None and ended < out <= frame.today:
            told = f"{said(instrument)} has been out of service since {frame.says(out)}, after the locate."
            yield Finding(
                "instrument.out_of_service_since", subject(instrument), told, "Find out why; locate again where in doubt.", day_start(out, frame.zone)
            )
        if hired is not None and hired < ended:
            told = f"{said(instrument)} was hired until {frame.says(hired)}, before the locate ended."
            yield Finding("instrument.hire_over", subject(instrument), told, "Make sure whose instrument it was and who kept it in order.")


def due_cautions(frame: Frame) -> Iterator[Finding]:
    for instrument in frame.named_instruments:
        if instrument.calibration_months is not None:
            _, spans = calibrations(frame, instrument)
            yield from due(frame, subject(instrument), f"The calibration of {inner(said(instrument))}", unbroken_end(spans, frame.at))
        if instrument.self_test_days is not None:
            span = self_test_span(known_checks(instrument, frame.at), instrument.self_test_days, frame.at, frame.zone)
            if span is not None and span.holds(frame.at):
                yield from due(frame, subject(instrument), f"The self-test of {inner(said(instrument))}", span.ends)
