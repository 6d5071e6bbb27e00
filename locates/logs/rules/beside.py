"""A locate's logs beside what it claims: for each technique the time and the ground, and in words what does not fit. It is told, and blocks nothing."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from shapely.geometry.base import BaseGeometry

from locates.logs.rules.times import millis
from locates.logs.rules.use import Account, Use, ground_within, within
from locates.rules.ground import NOWHERE, six, united
from records.rules.dates import day_says, instant_says, local_day
from records.rules.words import TECHNIQUES, spoken


@dataclass(frozen=True, slots=True)
class Claim:
    """A sweep that a locate claims."""

    sweep: str
    technique: str
    area: BaseGeometry


@dataclass(frozen=True, slots=True)
class Span:
    """When a locate was made; `ends` None: it is not finished."""

    begins: datetime
    ends: datetime | None
    zone: ZoneInfo


@dataclass(frozen=True, slots=True)
class Figure:
    """One technique: what is claimed, and what the logs show within the locate's span. None: there is none, or no log says where it was."""

    technique: str
    sweeps: tuple[str, ...]
    claimed: BaseGeometry
    seen: BaseGeometry | None
    unseen: BaseGeometry | None
    uses: tuple[Use, ...]
    values: tuple[float, float] | None

    @property
    def seconds(self) -> int:
        """For how long the mode was used within the locate's span."""
        return round(sum(use.millis for use in self.uses) / 1000)

    @property
    def rows(self) -> int:
        return sum(use.rows for use in self.uses)

    @property
    def claimed_m2(self) -> Decimal:
        return six(self.claimed.area)

    @property
    def seen_m2(self) -> Decimal | None:
        return None if self.seen is None else six(self.seen.area)

    @property
    def unseen_m2(self) -> Decimal | None:
        return None if self.unseen is None else six(self.unseen.area)

    @property
    def seconds_a_m2(self) -> Decimal | None:
        """How long for each square metre claimed; None where nothing is claimed or the mode was not used."""
        return Decimal(self.seconds) / self.claimed_m2 if self.claimed_m2 and self.uses else None


@dataclass(frozen=True, slots=True)
class Difference:
    """Something in which the logs and the locate do not fit: a code, the technique if it is of one, and a sentence."""

    code: str
    technique: str
    says: str


def figures(claims: Sequence[Claim], span: Span, accounts: Sequence[Account]) -> list[Figure]:
    """Every technique that is claimed or that a log shows within the span."""
    made = (_figure(technique, claims, span, accounts) for technique in TECHNIQUES)
    return [one for one in made if one.sweeps or one.uses]


def _figure(technique: str, claims: Sequence[Claim], span: Span, accounts: Sequence[Account]) -> Figure:
    mine = [claim for claim in claims if claim.technique == technique]
    claimed = united(claim.area for claim in mine) if mine else NOWHERE
    begins, ends = millis(span.begins), millis(span.ends) if span.ends else None
    uses = sorted((use for one in accounts for use in within(one.uses.get(technique, ()), begins, ends)), key=lambda use: (use.begins, use.ends))
    placed = accounts and all(one.placed for one in accounts)
    seen = united(ground_within(one.ground.get(technique, ()), begins, ends) for one in accounts) if placed else None
    values = [one.values[technique] for one in accounts if technique in one.values]
    return Figure(
        technique,
        tuple(sorted(claim.sweep for claim in mine)),
        claimed,
        seen,
        claimed.difference(seen) if seen is not None else None,
        tuple(uses),
        (min(low for low, _ in values), max(high for _, high in values)) if values else None,
    )


def differences(shown: Sequence[Figure], span: Span, accounts: Sequence[Account]) -> list[Difference]:
    """All in which they do not fit, technique by technique, then of time. Nothing where there is no log."""
    if not accounts:
        return []
    found = [*(one for figure in shown for one in _of_figure(figure, accounts)), *_of_time(span, accounts)]
    return [replace(one, says=one.says[0].upper() + one.says[1:]) for one in found]


def _of_figure(figure: Figure, accounts: Sequence[Account]) -> Iterator[Difference]:
    if not figure.sweeps:
        return
    name = spoken(figure.technique)
    by = f"{name} is claimed by {'sweep' if len(figure.sweeps) == 1 else 'sweeps'} {_listed(figure.sweeps)}"
    if not any(one.uses.get(figure.technique) for one in accounts):
        yield Difference("technique.absent", figure.technique, f"{by}, and the log never was in that mode.")
    elif not figure.uses:
        yield Difference("technique.outside", figure.technique, f"{by}, and the log was in that mode only outside of the locate’s time.")
    elif figure.unseen_m2 is not None and figure.unseen_m2 > figure.claimed_m2 * _spare(accounts):
        far = f"{max(one.measured.reach_m for one in accounts).normalize():f} m"
        says = f"{name}: of {square(figure.claimed_m2)} claimed, {square(figure.unseen_m2)} lie farther than {far} from every reading of the log in that mode."
        yield Difference("ground.unseen", figure.technique, says)


def _spare(accounts: Sequence[Account]) -> Decimal:
    return max(one.measured.spare_ratio for one in accounts)


def _of_time(span: Span, accounts: Sequence[Account]) -> Iterator[Difference]:
    gap = timedelta(seconds=float(max(one.measured.gap_s for one in accounts)))
    first, last = min(one.first for one in accounts), max(one.last for one in accounts)
    if first < span.begins - gap:
        yield Difference("log.early", "", f"The log begins {instant_says(first, span.zone)}, {lasting(span.begins - first)} before the locate did.")
    if span.ends and last > span.ends + gap:
        yield Difference("log.late", "", f"The log ends {instant_says(last, span.zone)}, {lasting(last - span.ends)} after the locate was finished.")
    for day, count in sorted(_other_days(span, accounts).items()):
        told = f"{count:,} {'reading is' if count == 1 else 'readings are'} of another day than the locate: {day_says(day)}."
        yield Difference("log.other_day", "", told)


def _other_days(span: Span, accounts: Sequence[Account]) -> dict[date, int]:
    """Readings of days before the locate's first, or after its last."""
    first, last = local_day(span.begins, span.zone), local_day(span.ends, span.zone) if span.ends else date.max
    found: dict[date, int] = {}
    for one in accounts:
        for text, count in one.days.items():
            if not first <= (day := date.fromisoformat(text)) <= last:
                found[day] = found.get(day, 0) + count
    return found


def square(area: Decimal) -> str:
    """An area in words: to a tenth of a square metre, a small one to a hundredth."""
    return f"{area:,.1f} m²" if area >= 1 else f"{area:.2f} m²"


def lasting(span: timedelta) -> str:
    """How long, in words: `2 h 30 min`, `4 min 10 s`, `12 s`; days where there are any."""
    seconds = round(span.total_seconds())
    for size, unit, smaller, name in ((86400, "days", 3600, "h"), (3600, "h", 60, "min"), (60, "min", 1, "s")):
        if seconds >= size:
            whole, rest = divmod(seconds, size)
            unit = "day" if (unit, whole) == ("days", 1) else unit
            return f"{whole:,} {unit}" + (f" {rest // smaller} {name}" if rest // smaller else "")
    return f"{seconds} s"


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
