"""Sweeping again as the dig goes deeper: whether such a sweep counts, and at which depth the next is owed."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from locates.permits.rules.evidence import Person
from locates.rules.fitness import Instrument, calibration_failure, calibration_spans, check_failure, known_calibrations, known_checks, recalls, self_test_holds
from records.rules.cover import award_spans, first_gap
from records.rules.dates import local_day
from records.rules.words import PASSIVE, spoken

CALIBRATIONS = {
    "not_yet_calibrated": "had not been calibrated",
    "calibration_failed": "was not left in tolerance by its last calibration",
    "calibration_lapsed": "was out of calibration",
}
RECALLS = {
    "recall_unknown": "was not measured as found when it was next calibrated",
    "recalled": "was later found out of tolerance, or failed its next check",
}
CHECKS = {"check_failed": "had failed its check", "check_missing": "had not been checked before use"}


@dataclass(frozen=True, slots=True)
class Swept:
    """A sweep made again. `receiver`: with its whole history."""

    person: Person
    techniques: Collection[str]
    receiver: Instrument
    at: datetime


def doubts(swept: Swept, check_hours: int, zone: ZoneInfo, now: datetime) -> list[str]:
    """Why the sweep does not count; nothing where it does. `check_hours`: how long a check before use serves.

    It is judged as it stood at its own instant, but for what was found of the receiver since, as locates are.
    """
    return [*_modes(swept), *_cover(swept, zone), *_fitness(swept, check_hours, zone), *_recalled(swept, zone, now)]


def _modes(swept: Swept) -> Iterator[str]:
    for technique in PASSIVE:
        if technique not in swept.techniques:
            yield f"{spoken(technique)} was not used"


def _cover(swept: Swept, zone: ZoneInfo) -> Iterator[str]:
    today = local_day(swept.at, zone)
    for technique in swept.techniques:
        spans = award_spans(swept.person.awards, technique, zone, today)
        if first_gap(spans, swept.at, swept.at) is not None:
            yield f"{swept.person.name} was not authorised for {spoken(technique)}"


def _fitness(swept: Swept, check_hours: int, zone: ZoneInfo) -> Iterator[str]:
    tool, at, day = swept.receiver, swept.at, local_day(swept.at, zone)
    if tool.out_of_service_from is not None and tool.out_of_service_from <= day:
        yield f"{tool.instrument} was out of service"
    if tool.calibration_months is not None:
        known = known_calibrations(tool, day)
        spans = calibration_spans(known, tool.calibration_months, zone)
        if first_gap(spans, at, at) is not None:
            yield f"{tool.instrument} {CALIBRATIONS[calibration_failure(known, spans, at, zone).how]}"
    checks = known_checks(tool, at)
    if (failure := check_failure(checks, at, at, check_hours)) is not None:
        yield f"{tool.instrument} {CHECKS[failure[0]]}"
    if tool.self_test_days is not None and not self_test_holds(checks, tool.self_test_days, at, zone):
        yield f"{tool.instrument} had no good self-test"


def _recalled(swept: Swept, zone: ZoneInfo, now: datetime) -> Iterator[str]:
    for code in recalls(swept.receiver, local_day(swept.at, zone), swept.at, now, zone):
        yield f"{swept.receiver.instrument} {RECALLS[code]}"


def next_depth(reached: Iterable[Decimal], each: Decimal, deepest: Decimal) -> Decimal | None:
    """At which depth the ground is swept again: `each` below the deepest that a sweep counted at; None where the dig goes no deeper than that."""
    found = max(reached, default=Decimal(0)) + each
    return found if found < deepest else None
