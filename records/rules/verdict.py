"""What a gate says: findings that block or caution, conditions to keep to, and until when it holds."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from records.rules.dates import instant_text

SIX, TWO = Decimal("0.000001"), Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Finding:
    """One reason: its code, whom or what it is about, one sentence on what is wrong, one on what to do, and since when."""

    code: str
    subject: str
    says: str
    remedy: str
    since: datetime | None = None


@dataclass(frozen=True, slots=True)
class Condition:
    """Something the crew must keep to. Metres, square and cubic metres, unrounded; None where there is no number."""

    code: str
    subject: str
    says: str
    distance_m: float | None = None
    area_m2: float | None = None
    volume_m3: float | None = None


@dataclass(frozen=True, slots=True)
class Verdict:
    """The gate's answer for one permit at one instant. Sorted, and without doubles, as `settled` leaves them."""

    permit: str
    at: datetime
    zone: ZoneInfo
    blocks: tuple[Finding, ...]
    cautions: tuple[Finding, ...]
    conditions: tuple[Condition, ...]
    good_until: datetime
    limited_by: tuple[str, ...]
    hand_area_m2: float
    hand_volume_m3: float

    @property
    def clear(self) -> bool:
        return not self.blocks


Said = TypeVar("Said", Finding, Condition)


def settled(said: Iterable[Said]) -> tuple[Said, ...]:
    """Sort by (code, subject), by code point; of a pair that comes twice keep the first."""
    first: dict[tuple[str, str], Said] = {}
    for one in said:
        first.setdefault((one.code, one.subject), one)
    return tuple(first[pair] for pair in sorted(first))


def rounded(number: float | Decimal | None, places: Decimal = TWO) -> Decimal | None:
    """Round to 6 decimals and from there to 2, half to even, of the decimal as written."""
    if number is None:
        return None
    return Decimal(repr(number) if isinstance(number, float) else number).quantize(SIX, ROUND_HALF_EVEN).quantize(places, ROUND_HALF_EVEN)


def as_data(verdict: Verdict) -> dict[str, Any]:
    """The verdict as plain data, ready for JSON: instants as text in the site's offset, numbers rounded."""

    def when(instant: datetime | None) -> str | None:
        return None if instant is None else instant_text(instant, verdict.zone)

    def number(value: float | None) -> float | None:
        return None if value is None else float(rounded(value)) + 0.0

    def finding(one: Finding) -> dict[str, Any]:
        return {"code": one.code, "subject": one.subject, "since": when(one.since), "says": one.says, "remedy": one.remedy}

    def condition(one: Condition) -> dict[str, Any]:
        numbers = {name: number(getattr(one, name)) for name in ("distance_m", "area_m2", "volume_m3")}
        return {"code": one.code, "subject": one.subject, "says": one.says, **numbers}

    return {
        "permit": verdict.permit,
        "at": when(verdict.at),
        "clear": verdict.clear,
        "blocks": [finding(one) for one in verdict.blocks],
        "cautions": [finding(one) for one in verdict.cautions],
        "conditions": [condition(one) for one in verdict.conditions],
        "good_until": when(verdict.good_until),
        "limited_by": list(verdict.limited_by),
        "hand_zone": {"area_m2": number(verdict.hand_area_m2), "volume_m3": number(verdict.hand_volume_m3)},
    }
