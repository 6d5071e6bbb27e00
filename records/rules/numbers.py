"""The numbers in force: each key with its default, bounds, the way that gives less, and where the default comes from. The only file that holds such numbers."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from records.rules.words import QUALITY_SCHEMES

SCHEME = "quality_scheme"
HOUSE = "house number; common practice at best"


@dataclass(frozen=True, slots=True)
class Number:
    """One key. `whole`: days or hours; otherwise metres or a ratio, or, with yes for a default, yes or no; or one of its own `words`.

    `looser` is +1 where a larger value gives less, -1 where a smaller one does.
    """

    key: str
    default: str
    low: Decimal
    high: Decimal
    looser: int
    meaning: str
    source: str = HOUSE
    whole: bool = False
    words: tuple[str, ...] = ()

    @property
    def yes_or_no(self) -> bool:
        return self.default in ("yes", "no")

    def is_looser(self, value: str) -> bool:
        """Does this value give less than the default?"""
        if self.yes_or_no:
            return value == "no"
        return (Decimal(value) - Decimal(self.default)) * self.looser > 0


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a rule set; `value` is a number's text, or yes or no."""

    key: str
    effective_from: date
    value: str
    source: str = ""


def _number(key: str, default: str, low: str, high: str, looser: int, meaning: str, source: str = HOUSE) -> Number:
    return Number(key, default, Decimal(low), Decimal(high), looser, meaning, source, whole=key.endswith(("_days", "_hours", "_holes")))


NUMBERS: dict[str, Number] = {
    number.key: number
    for number in (
        _number("plan_valid_days", "28", "1", "366", +1, "days an owner's answer is good, where the owner printed no date"),
        _number("locate_valid_days", "14", "1", "366", +1, "days a locate is good after the day it finished"),
        _number("locate_max_hours", "24", "1", "168", +1, "longest locate"),
        _number("permit_max_hours", "168", "1", "744", +1, "longest permit"),
        _number("sweep_margin_m", "1.0", "0", "10", -1, "how far beyond the outline the ground must be swept"),
        _number("two_directions", "yes", "0", "0", 0, "passive sweeps must cross"),
        _number(
            "transmitter_min_offset_m",
            "3.75",
            "0",
            "20",
            -1,
            "an induction sweep begun nearer to the transmitter does not count",
            "5 paces of 0.75 m: common practice, no published source",
        ),
        _number("induction_max_depth_m", "2.0", "0.1", "5", +1, "induction is not trusted deeper", "common practice, no published source"),
        _number("check_valid_hours", "12", "1", "48", +1, "hours a before-use check serves"),
        _number("depth_tolerance_m", "0.05", "0", "1", +1, "by how much a raised reading may differ, at least"),
        _number("depth_tolerance_ratio", "0.05", "0", "1", +1, "by how much a raised reading may differ, as a share of the depth"),
        _number("hand_dig_m", "0.5", "0.1", "5", -1, "hand digging within this distance of the service's edge", "HSG47, safe digging section (trade handbook)"),
        _number("position_tolerance_A_m", "0.05", "0", "10", -1, "added for quality level A", "AS 5488.1 (from memory)"),
        _number("position_tolerance_B_m", "0.3", "0", "10", -1, "added for quality level B", "AS 5488.1 (from a secondary page)"),
        _number("position_tolerance_C_m", "1.0", "0", "10", -1, "added for quality level C"),
        _number("position_tolerance_D_m", "2.0", "0", "10", -1, "added for quality level D"),
        _number("due_soon_days", "30", "1", "366", -1, "days ahead in which a date counts as due soon"),
    )
}


# Numbers of the firm's own keeping, which no verdict reads: the gate is not given them.
HOUSE_NUMBERS: dict[str, Number] = {
    number.key: number
    for number in (
        _number("rebook_lead_days", "60", "1", "366", -1, "days before a last good day by which its renewal should be booked"),
        _number(
            "plan_difference_m",
            "0.5",
            "0",
            "10",
            0,
            "how far plan and trace may lie apart before the owner is told, where the plan says nothing of it",
        ),
        _number("agreement_least_holes", "10", "2", "1000", -1, "trial holes from which on it is said how far depths read agree with depths seen"),
        Number(
            SCHEME,
            "own",
            Decimal(0),
            Decimal(0),
            0,
            f"the scheme that the letters of quality levels are of: {', '.join(QUALITY_SCHEMES)}",
            words=QUALITY_SCHEMES,
        ),
        _number(
            "resweep_depth_m",
            "0.3",
            "0.05",
            "5",
            +1,
            "how much deeper a dig may go before its ground is swept again",
            "each layer that is taken off brings a receiver nearer to what lies deeper: common practice, no published source",
        ),
        _number(
            "recall_checks_narrow",
            "no",
            "0",
            "0",
            0,
            "a check that an instrument passed is proof that it was good until then, where a calibration finds it out of tolerance later",
            "common practice, no published source: a check before use shows gross faults and no drift, so that by itself it proves little",
        ),
        _number("second_factor_to_sign", "no", "0", "0", 0, "whoever signs proves it with a second factor beside the password"),
        _number(
            "log_gap_s",
            "60",
            "1",
            "3600",
            +1,
            "seconds between two readings of a receiver's log up to which its mode counts as in use",
            "a pause to mark the ground or to wait: common practice, no published source",
        ),
        _number(
            "log_reach_m",
            "1.0",
            "0.3",
            "10",
            +1,
            "how far about a reading of a receiver's log the ground counts as walked",
            "half the usual way between two lines walked, and as much again for how well receivers know where they are: common practice, no published source",
        ),
        _number(
            "log_spare_ratio",
            "0.1",
            "0",
            "1",
            +1,
            "share of the ground claimed that a receiver's log may leave out before that is told",
            "positions wander, and a sweep's corners are drawn rounder than walked: common practice, no published source",
        ),
    )
}

# Numbers of emergency work, which the gate is given with such a permit and with no other.
EMERGENCY_NUMBERS: dict[str, Number] = {
    number.key: number
    for number in (
        _number("emergency_max_hours", "12", "1", "48", +1, "longest permit for emergency work"),
        _number("emergency_decided_hours", "12", "1", "48", +1, "hours before its permit begins within which emergency work is decided on"),
        _number(
            "emergency_follow_up_days",
            "7",
            "1",
            "90",
            +1,
            "days after the end of emergency work within which it is followed up",
            "house number, common practice at best; Singapore's Electricity Act 2001, s.79, takes notice of such work for 7 days after it",
        ),
    )
}
EVERY_NUMBER = NUMBERS | HOUSE_NUMBERS | EMERGENCY_NUMBERS
VALUE_WORDS = frozenset({"yes", "no"}.union(*(number.words for number in EVERY_NUMBER.values())))


class InForce:
    """The numbers in force for a rule set on a day: the latest row not after it, else the default."""

    def __init__(self, rows: Iterable[Row], today: date) -> None:
        latest: dict[str, Row] = {}
        for row in rows:
            if row.effective_from <= today and (row.key not in latest or row.effective_from > latest[row.key].effective_from):
                latest[row.key] = row
        self.rows = latest

    def text(self, key: str) -> str:
        return self.rows[key].value if key in self.rows else EVERY_NUMBER[key].default

    def number(self, key: str) -> Decimal:
        return Decimal(self.text(key))

    def whole(self, key: str) -> int:
        return int(self.text(key))

    def yes(self, key: str) -> bool:
        return self.text(key) == "yes"

    def looser(self) -> list[str]:
        """The keys whose number in force gives less than its default."""
        return [key for key, row in self.rows.items() if EVERY_NUMBER[key].is_looser(row.value)]
