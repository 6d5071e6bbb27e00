"""How long before its last good day a thing is told of: once at each of some distances, and after a gap once at the nearest."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Thing:
    """Something with a last good day, of a subject. `key` tells it from every other; what was renewed has another last day, and so begins anew.

    `begins`: the day on which it began to be good. `today`: the day on which it is looked at, where it is. `says`: what it is, in words;
    `name`: its identifier, where others of the same words share its line; `whose`: of whom, where that is not the reader.
    """

    subject: str
    key: str
    begins: date
    last_day: date
    today: date
    says: str
    name: str = ""
    whose: str = ""

    @property
    def left(self) -> int:
        """Whole days from today until its last good day: 0 on that day, less than 0 once it has lapsed."""
        return (self.last_day - self.today).days

    @property
    def life(self) -> int:
        """Whole days from its first to its last."""
        return (self.last_day - self.begins).days


def due(thing: Thing, days: Collection[int], told: Collection[int]) -> int | None:
    """At which of the distances, in days, it is to be told now; None: at none.

    That is the nearest that is reached, unless it was told at that or at a nearer one: of several that passed in a gap only the last is news.
    A thing is not told at a distance that it was never beyond: an answer good for 28 days does not lapse soon on the day on which it comes.
    """
    if thing.left < 0:
        return None
    reached = min((one for one in days if thing.left <= one < thing.life), default=None)
    return None if reached is None or any(one <= reached for one in told) else reached
