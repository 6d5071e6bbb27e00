"""Depth readings, compared exactly, in metres: how far one is to be believed, and the only words in which it is ever told.

A depth is from the surface to the centre of the service.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from records.rules.numbers import InForce
from records.rules.words import EXPOSED, PASSIVE

FROM_PASSIVE, NOT_CHECKED, DISAGREES, TOO_DEEP = "from_passive", "not_checked", "disagrees", "too_deep"
NO_NUMBER = frozenset({FROM_PASSIVE, DISAGREES, TOO_DEEP})
NO_PROOF = (
    "A reading that agrees when the receiver is raised is no proof: a neighbouring line can pull both place and depth and still pass. "
    "Only a trial hole shows where a service lies and how deep."
)


class Reading(Protocol):
    """What was traced at a place: by which technique, how deep and how wide, and what was read with the receiver raised."""

    @property
    def technique(self) -> str: ...
    @property
    def depth_m(self) -> Decimal | None: ...
    @property
    def raised_by_m(self) -> Decimal | None: ...
    @property
    def raised_depth_m(self) -> Decimal | None: ...
    @property
    def width_m(self) -> Decimal | None: ...


@dataclass(frozen=True, slots=True)
class Limits:
    """By how much a raised reading may differ, at least and as a share of the depth; and deeper than what induction is not trusted."""

    at_least_m: Decimal
    ratio: Decimal
    induction_m: Decimal


def limits(numbers: InForce) -> Limits:
    """The limits in force."""
    return Limits(numbers.number("depth_tolerance_m"), numbers.number("depth_tolerance_ratio"), numbers.number("induction_max_depth_m"))


def raised_reading_off_by(depth_m: Decimal, raised_by_m: Decimal, raised_depth_m: Decimal) -> Decimal:
    """By how much the raised reading differs from what an undistorted field would show."""
    return abs(raised_depth_m - depth_m - raised_by_m)


def tolerance(depth_m: Decimal, at_least_m: Decimal, ratio: Decimal) -> Decimal:
    """How much it may differ: the larger of a fixed length and a share of the depth. Exactly that is within."""
    return max(at_least_m, ratio * depth_m)


def disagrees(depth_m: Decimal, raised_by_m: Decimal, raised_depth_m: Decimal, at_least_m: Decimal, ratio: Decimal) -> bool:
    return raised_reading_off_by(depth_m, raised_by_m, raised_depth_m) > tolerance(depth_m, at_least_m, ratio)


def doubts(reading: Reading, by: Limits) -> tuple[str, ...]:
    """What there is against a depth, in order; nothing against one that was seen, nor where there is none."""
    if reading.depth_m is None or reading.technique == EXPOSED:
        return ()
    return (FROM_PASSIVE,) if reading.technique in PASSIVE else tuple(_against(reading, by))


def _against(reading: Reading, by: Limits) -> Iterator[str]:
    if reading.raised_by_m is None or reading.raised_depth_m is None:
        yield NOT_CHECKED
    elif disagrees(reading.depth_m, reading.raised_by_m, reading.raised_depth_m, by.at_least_m, by.ratio):
        yield DISAGREES
    if reading.technique == "induction" and reading.depth_m > by.induction_m:
        yield TOO_DEEP


def number(reading: Reading, by: Limits) -> Decimal | None:
    """The depth where it may be told as a number; None where there is none, and where it is not to be relied on."""
    return None if NO_NUMBER.intersection(doubts(reading, by)) else reading.depth_m


def cover(depth_m: Decimal, width_m: Decimal) -> Decimal | None:
    """The ground above the top of a service of that outside width; None where it is wider than its depth allows."""
    above = depth_m - width_m / 2
    return above if above > 0 else None


def says(reading: Reading, by: Limits) -> str:
    """The depth in words: a number only where it may be told as one, and never bare of what it is."""
    against = doubts(reading, by)
    if reading.depth_m is None:
        return "depth not known"
    if FROM_PASSIVE in against:
        return "depth not known: a passive technique gives none"
    if DISAGREES in against:
        return "depth not to be relied on"
    if TOO_DEEP in against:
        return "depth not to be relied on: read by induction, deeper than it is trusted"
    return f"{metres_says(reading.depth_m)} to its centre{_cover_says(reading)}{_worth(reading, against)}"


def _cover_says(reading: Reading) -> str:
    above = cover(reading.depth_m, reading.width_m) if reading.width_m is not None else None
    return "" if above is None else f", {metres_says(above)} of cover"


def _worth(reading: Reading, against: tuple[str, ...]) -> str:
    if reading.technique == EXPOSED:
        return ", seen when exposed"
    return ", indicated, NOT checked by a raised reading" if NOT_CHECKED in against else ", indicated; agrees when raised, which is no proof"


def raised_says(reading: Reading, by: Limits, metres: Decimal | None) -> str:
    """What was read or done with the receiver raised, in words: it gives the depth away, so it is told as a number only where that is."""
    if metres is None:
        return ""
    return metres_says(metres) if number(reading, by) is not None else "not told: the depth is not to be relied on"


def metres_says(metres: Decimal) -> str:
    """`0.8 m`, without needless zeros."""
    return f"{metres.normalize():f} m"
