"""Is a look-over owed before anybody digs?

On each day of the site one is owed before work, and again once it has rained, something happened, the permit was taken over or the work was
resumed: 29 CFR 1926.651(k)(1) asks for it daily before work, as needed in the shift, after rain and after whatever adds to a hazard; CDM 2015
reg. 24 at the start of every shift.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from locates.lookovers.rules.words import CHANGE, RAIN, RESUMED, SHIFT, START
from records.rules.dates import day_start, local_day

SAYS = {
    START: "No look-over yet today",
    RAIN: "It has rained, and nobody has looked the ground over since",
    CHANGE: "Something happened, and nobody has looked the ground over since",
    SHIFT: "The permit was taken over, and nobody has looked the ground over since",
    RESUMED: "Work was resumed, and nobody has looked the ground over since",
}


@dataclass(frozen=True, slots=True)
class Owed:
    """Why one is owed, and since when."""

    occasion: str
    since: datetime

    @property
    def says(self) -> str:
        return f"{SAYS[self.occasion]}: nobody digs before it."


def owed(looked: Iterable[datetime], causes: Iterable[tuple[str, datetime]], at: datetime, zone: ZoneInfo) -> Owed | None:
    """The look-over owed at the instant; None where the last sound one stands.

    `looked`: when all was found as it should be. `causes`: what happened since the permit was accepted that makes a new one owed.
    """
    begun = Owed(START, day_start(local_day(at, zone), zone))
    latest = max((one for one in looked if one <= at), default=None)
    if latest is None or latest < begun.since:
        return begun
    later = [Owed(occasion, when) for occasion, when in causes if latest <= when <= at]
    return max(later, key=lambda one: one.since, default=None)
