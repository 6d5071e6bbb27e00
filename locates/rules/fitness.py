"""Is an instrument fit to be believed: calibration, checks, self-tests, recall."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from records.rules.cover import Failure, Span
from records.rules.dates import add_days, add_months, day_start, earlier, end_of_day, local_day

IN, OUT, UNKNOWN = "in_tolerance", "out_of_tolerance", "not_measured"


@dataclass(frozen=True, slots=True)
class Calibration:
    calibration: str
    calibrated_on: date
    due_on: date | None
    as_found: str
    as_left: str
    laboratory: str = ""
    certificate_no: str = ""

    @property
    def order(self) -> tuple[date, str]:
        return (self.calibrated_on, self.calibration)


@dataclass(frozen=True, slots=True)
class Check:
    check: str
    kind: str
    checked_at: datetime
    result: str

    @property
    def order(self) -> tuple[datetime, str]:
        return (self.checked_at, self.check)

    @property
    def failed(self) -> bool:
        return self.result == "fail"


@dataclass(frozen=True, slots=True)
class Instrument:
    """An instrument with its whole history. Months or days None: it needs none."""

    instrument: str
    kind: str
    serial_no: str = ""
    description: str = ""
    calibration_months: int | None = None
    self_test_days: int | None = None
    out_of_service_from: date | None = None
    hired_until: date | None = None
    calibrations: tuple[Calibration, ...] = ()
    checks: tuple[Check, ...] = ()


def known_calibrations(instrument: Instrument, today: date) -> list[Calibration]:
    """Those dated by the day, in order of date, then identifier."""
    return sorted((one for one in instrument.calibrations if one.calibrated_on <= today), key=lambda one: one.order)


def known_checks(instrument: Instrument, at: datetime) -> list[Check]:
    """Those made by the instant, in order of instant, then identifier."""
    return sorted((one for one in instrument.checks if one.checked_at <= at), key=lambda one: one.order)


def calibration_spans(calibrations: Sequence[Calibration], months: int, zone: ZoneInfo) -> list[Span]:
    """The time each calibration (in order) covers. Left out of tolerance it covers none; a later one ends those before it."""
    followers = [*(day_start(one.calibrated_on, zone) for one in calibrations[1:]), None]
    return [_calibration_span(one, months, zone, end) for one, end in zip(calibrations, followers, strict=False) if one.as_left == IN]


def _calibration_span(one: Calibration, months: int, zone: ZoneInfo, next_one: datetime | None) -> Span:
    # found out of tolerance or not measured, it is not to be believed on the very day on which it was put right
    begins = day_start(one.calibrated_on, zone) if one.as_found == IN else end_of_day(one.calibrated_on, zone)
    through = one.due_on if one.due_on is not None else add_months(one.calibrated_on, months)
    return Span(begins, earlier(end_of_day(through, zone), next_one), one.calibration)


def calibration_failure(calibrations: Sequence[Calibration], spans: Sequence[Span], instant: datetime, zone: ZoneInfo) -> Failure:
    """Why the calibrations do not cover an uncovered instant: not_yet_calibrated, calibration_failed or calibration_lapsed."""
    by_then = [one for one in calibrations if one.calibrated_on <= local_day(instant, zone)]
    if not by_then:
        return Failure("not_yet_calibrated", None)
    if by_then[-1].as_left != IN:
        return Failure("calibration_failed", day_start(by_then[-1].calibrated_on, zone), by_then[-1].calibration)
    ended = [span for span in spans if not span.empty and span.ends is not None and span.ends <= instant]
    last = max(ended, key=lambda span: span.ends, default=None)
    return Failure("calibration_lapsed", last.ends if last else None, last.source if last else by_then[-1].calibration)


def check_failure(checks: Sequence[Check], started_at: datetime, ended_at: datetime, valid_hours: int) -> tuple[str, Check | None] | None:
    """check_failed with the failed check, check_missing, or None where a passed before-use check serves the locate."""
    opens = started_at - timedelta(hours=valid_hours)
    before = [one for one in checks if opens <= one.checked_at <= started_at]
    during = [one for one in checks if started_at < one.checked_at <= ended_at]
    failed = before[-1:] + during
    if bad := next((one for one in failed if one.failed), None):
        return "check_failed", bad
    passed = any(one.kind == "before_use" and not one.failed for one in before)
    return None if passed else ("check_missing", None)


def self_test_span(checks: Sequence[Check], days: int, instant: datetime, zone: ZoneInfo) -> Span | None:
    """The time for which the latest self-test by the instant is good; None where it failed or there is none."""
    tests = [one for one in checks if one.kind == "self_test" and one.checked_at <= instant]
    if not tests or tests[-1].failed:
        return None
    through = add_days(local_day(tests[-1].checked_at, zone), days)
    return Span(tests[-1].checked_at, end_of_day(through, zone), tests[-1].check)


def self_test_holds(checks: Sequence[Check], days: int, instant: datetime, zone: ZoneInfo) -> bool:
    """Is the latest self-test by the instant passed, and the instant's day within its days?"""
    tests = [one for one in checks if one.kind == "self_test" and one.checked_at <= instant]
    if not tests or tests[-1].failed:
        return False
    through = add_days(local_day(tests[-1].checked_at, zone), days)
    return through is None or through >= local_day(instant, zone)


def recalls(instrument: Instrument, began: date, ended_at: datetime, at: datetime, zone: ZoneInfo) -> dict[str, datetime]:
    """Doubt cast on a finished locate by what was found later: recall_unknown and recalled, each with its instant."""
    ended, today = local_day(ended_at, zone), local_day(at, zone)
    known = [one for one in known_calibrations(instrument, today) if one.calibrated_on >= began]
    during = [one for one in known if one.calibrated_on <= ended]
    after = [one for one in known if one.calibrated_on > ended]
    measured = [one for one in after if one.as_found != UNKNOWN]
    unknown = _earliest(UNKNOWN, during + after[:1], zone)
    failing = [one.checked_at for one in _first_after(known_checks(instrument, at), ended_at) if one.failed]
    out = earlier(_earliest(OUT, during + measured[:1], zone), *failing)
    return {code: since for code, since in (("recall_unknown", unknown), ("recalled", out)) if since is not None}


def _first_after(checks: Sequence[Check], instant: datetime) -> Sequence[Check]:
    return [one for one in checks if one.checked_at > instant][:1]


def _earliest(found: str, calibrations: Sequence[Calibration], zone: ZoneInfo) -> datetime | None:
    return earlier(*(day_start(one.calibrated_on, zone) for one in calibrations if one.as_found == found))


def named_techniques_need(techniques: set[str]) -> tuple[str, ...]:
    """The kinds of instrument that the techniques need, the receiver always."""
    needs = {
        "transmitter": {"induction", "direct_connection", "clamp"},
        "clamp": {"clamp"},
        "sonde": {"sonde"},
    }
    return ("receiver", *(kind for kind, by in needs.items() if techniques & by))
