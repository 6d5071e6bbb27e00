"""When an instrument is next due: for people who keep it in date. Whether a locate may rest on it, the gate asks of `fitness`, as this does."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from locates.rules.fitness import Check, Instrument, calibration_failure, calibration_spans, known_calibrations, known_checks, self_test_span
from records.rules.cover import unbroken_end
from records.rules.dates import local_day

CALIBRATION, SELF_TEST = "calibration", "self_test"
MOMENT = timedelta(seconds=1)


@dataclass(frozen=True, slots=True)
class Due:
    """One thing that an instrument needs: whether it is good now, through which day (None while good: for ever), and if not, why not."""

    what: str
    good: bool
    through: date | None
    why: str = ""


def needs(instrument: Instrument, zone: ZoneInfo, at: datetime) -> list[Due]:
    """What the instrument needs, in order: its calibration, its self-test."""
    found = []
    if instrument.calibration_months is not None:
        found.append(calibration(instrument, instrument.calibration_months, zone, at))
    if instrument.self_test_days is not None:
        found.append(self_test(instrument, instrument.self_test_days, zone, at))
    return found


def calibration(instrument: Instrument, months: int, zone: ZoneInfo, at: datetime) -> Due:
    known = known_calibrations(instrument, local_day(at, zone))
    spans = calibration_spans(known, months, zone)
    if any(span.holds(at) for span in spans):
        return Due(CALIBRATION, True, _last_day(unbroken_end(spans, at), zone))
    failure = calibration_failure(known, spans, at, zone)
    return Due(CALIBRATION, False, None if failure.since is None else _last_day(failure.since, zone), failure.how)


def self_test(instrument: Instrument, days: int, zone: ZoneInfo, at: datetime) -> Due:
    span = self_test_span(known_checks(instrument, at), days, at, zone)
    if span is None:
        return Due(SELF_TEST, False, None, "none")
    good = span.holds(at)
    return Due(SELF_TEST, good, _last_day(span.ends, zone), "" if good else "self_test_lapsed")


def _last_day(end: datetime | None, zone: ZoneInfo) -> date | None:
    return None if end is None else local_day(end - MOMENT, zone)


def checked_today(instrument: Instrument, zone: ZoneInfo, at: datetime) -> Check | None:
    """The latest check of any kind on the day of the instant, if there is one."""
    today = [one for one in known_checks(instrument, at) if local_day(one.checked_at, zone) == local_day(at, zone)]
    return today[-1] if today else None


def in_service(instrument: Instrument, day: date) -> bool:
    return instrument.out_of_service_from is None or instrument.out_of_service_from > day
