"""What makes a thing doubtful, and for how long: from the last that is known to be good until it was found bad, or put right.

An instrument: whoever finds measuring equipment unfit decides whether what was measured before is good all the same (ISO 9001:2015, 7.1.5.2,
from memory). Both days count in full, as the gate has it: what was done on the day of the last good calibration is in doubt too.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, ClassVar
from zoneinfo import ZoneInfo

from shapely.geometry.base import BaseGeometry

from locates.permits.rules.evidence import Area
from locates.rules.fitness import IN, UNKNOWN, Calibration, Check, Instrument, known_calibrations, known_checks
from locates.rules.ground import covers, meet, united
from records.rules.cover import Award, Span
from records.rules.dates import add_days, end_of_day, local_day

CALIBRATION, CHECK, AWARD, PLAN = KINDS = ("calibration", "check", "award", "plan")


@dataclass(frozen=True, slots=True)
class Doubt:
    """A finding that casts doubt, by its record. `also`: the records of later findings of the same thing, which go with this one."""

    kind: ClassVar[str]
    key: str
    also: tuple[str, ...] = field(default=(), kw_only=True)

    @property
    def keys(self) -> tuple[str, ...]:
        return (self.key, *self.also)


@dataclass(frozen=True, slots=True)
class ByCalibration(Doubt):
    """An instrument that a calibration found or left unfit. `good`: the day when it was last known to be good; `until`: the last day of doubt.

    None: it never was; it still is. `unknown`: nobody measured how it was found. `passed`: every check that it passed.
    """

    kind = CALIBRATION
    instrument: str
    found: date
    good: date | None
    until: date | None
    unknown: bool = False
    passed: tuple[datetime, ...] = ()

    def holds(self, began: datetime, ended: datetime, zone: ZoneInfo, narrowed: bool) -> bool:
        """Was it in doubt at any time from the one instant to the other? `narrowed`: a passed check counts as proof that it was good."""
        good = self.last_good(zone) if narrowed else self.good
        return (good is None or local_day(ended, zone) >= good) and (self.until is None or local_day(began, zone) <= self.until)

    def last_good(self, zone: ZoneInfo) -> date | None:
        """The day when it was last known to be good, if passed checks are proof of that."""
        days = [day for one in self.passed if (day := local_day(one, zone)) < self.found]
        return max((day for day in (self.good, *days) if day is not None), default=None)


@dataclass(frozen=True, slots=True)
class ByCheck(Doubt):
    """An instrument that failed a check. `good`: the check that it passed last before; `until`: the one that it passed first after."""

    kind = CHECK
    instrument: str
    found: datetime
    good: datetime | None
    until: datetime | None

    def holds(self, began: datetime, ended: datetime, zone: ZoneInfo, narrowed: bool) -> bool:
        """Was it in doubt at any time from the one instant to the other?"""
        return (self.good is None or ended >= self.good) and (self.until is None or began < self.until)


@dataclass(frozen=True, slots=True)
class ByWithdrawal(Doubt):
    """An award that was withdrawn. `again`: for each thing that it allowed, the day from which another award allows it again (None: none does)."""

    kind = AWARD
    person: str
    awarded_on: date
    found: date
    again: dict[str, date | None]


@dataclass(frozen=True, slots=True)
class ByPlan(Doubt):
    """An owner's answer that was found wrong. `counts`: for how long it was good; `dropped`: when another took its place.

    `right`: answers of that owner given after it was found wrong, each with the time for which it is good and its area (None: the whole site).
    """

    kind = PLAN
    enquiry: str
    site: str
    found: datetime
    counts: Span
    dropped: datetime | None
    area: Area | None
    right: tuple[tuple[Span, Area | None], ...] = ()

    def meets(self, ground: BaseGeometry) -> bool:
        return self.area is None or meet(self.area, ground)

    def made_good(self, ground: BaseGeometry, instant: datetime) -> bool:
        """Did later answers show, at the instant, all of the wrong one's part of the ground?"""
        areas = [area for span, area in self.right if span.holds(instant)]
        owed = ground if self.area is None else self.area.intersection(ground)
        return bool(areas) and (None in areas or covers(united(areas), owed))


def by_calibrations(instrument: Instrument, today: date) -> Iterator[ByCalibration]:
    """What the calibrations known on the day cast in doubt."""
    known = known_calibrations(instrument, today)
    for place, one in enumerate(known):
        if (one.as_found, one.as_left) != (IN, IN):
            good, until = _good(known[:place], one), _put_right(known[place + 1 :], one)
            passed = [check.checked_at for check in instrument.checks if not check.failed]
            yield ByCalibration(one.calibration, instrument.instrument, one.calibrated_on, good, until, one.as_found == UNKNOWN, tuple(sorted(passed)))


def _good(before: list[Calibration], one: Calibration) -> date | None:
    """When it was last known to be good. Where nobody measured how it was found, that calibration says nothing of the time before it."""
    if one.as_found == IN:
        return one.calibrated_on
    told = [other.calibrated_on for other in before if one.as_found == UNKNOWN or other.as_found != UNKNOWN]
    return told[-1] if told else None


def _put_right(after: list[Calibration], one: Calibration) -> date | None:
    if one.as_left == IN:
        return one.calibrated_on
    return after[0].calibrated_on if after else None


def by_checks(instrument: Instrument, at: datetime) -> Iterator[ByCheck]:
    """What the checks known at the instant cast in doubt. Checks failed one after the other are one finding, which goes by the first of them."""
    failed: list[Check] = []
    good: datetime | None = None
    for one in known_checks(instrument, at):
        if one.failed:
            failed.append(one)
            continue
        if failed:
            yield _by_check(instrument, failed, good, one.checked_at)
        failed, good = [], one.checked_at
    if failed:
        yield _by_check(instrument, failed, good, None)


def _by_check(instrument: Instrument, failed: list[Check], good: datetime | None, until: datetime | None) -> ByCheck:
    first, *later = failed
    return ByCheck(first.check, instrument.instrument, first.checked_at, good, until, also=tuple(one.check for one in later))


def by_withdrawals(person: str, awards: tuple[Award, ...], today: date) -> Iterator[ByWithdrawal]:
    """What the withdrawals up to the day cast in doubt."""
    for one in awards:
        if one.withdrawn_on is not None and one.withdrawn_on <= today:
            yield ByWithdrawal(one.award, person, one.awarded_on, one.withdrawn_on, {thing: _again(awards, one, thing) for thing in sorted(one.authorises)})


def _again(awards: tuple[Award, ...], withdrawn: Award, thing: str) -> date | None:
    return min((one.awarded_on for one in awards if thing in one.authorises and one.awarded_on > withdrawn.withdrawn_on), default=None)


def answer_counts(answer: Any, valid_days: int, zone: ZoneInfo) -> Span:
    """For how long an answer is good, as the gate has it."""
    through = answer.good_through or add_days(local_day(answer.answered_at, zone), valid_days)
    return Span(answer.answered_at, end_of_day(through, zone), answer.enquiry)
