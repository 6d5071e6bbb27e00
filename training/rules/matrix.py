"""People × authorisations on one day: gaps against what roles need, who could stand in for whom, and what lapses ahead."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Protocol

from records.rules.words import AUTHORISATIONS, CREW, spoken
from training.rules.standing import Standing

AHEAD = (30, 60, 90)


@dataclass(frozen=True, slots=True)
class Row:
    """One person: how they stand in each thing, and what their roles need."""

    person: str
    name: str
    employer: str
    roles: tuple[str, ...]
    standings: dict[str, Standing]
    needed: frozenset[str]

    @property
    def says_roles(self) -> str:
        return ", ".join(map(spoken, self.roles or (CREW,)))

    @property
    def gaps(self) -> tuple[str, ...]:
        """What is needed and not in date, in the trade's order."""
        return tuple(thing for thing in AUTHORISATIONS if thing in self.needed and not self.standings[thing].in_date)

    @property
    def first_to_lapse(self) -> date | None:
        """The soonest last good day of what is in date; None: nothing ends."""
        return min((one.good_through for one in self.standings.values() if one.in_date and one.good_through), default=None)


@dataclass(frozen=True, slots=True)
class StandIn:
    """Somebody who could do what is asked, through which day (None: for ever), or what they lack."""

    row: Row
    lacks: tuple[str, ...]
    good_through: date | None
    posted_here: bool


def gaps_by_thing(rows: Iterable[Row]) -> dict[str, int]:
    """How many people lack each thing that they need."""
    counts = dict.fromkeys(AUTHORISATIONS, 0)
    for row in rows:
        for thing in row.gaps:
            counts[thing] += 1
    return counts


def stand_ins(of: Row, things: Sequence[str], others: Iterable[Row], posted_here: frozenset[str]) -> list[StandIn]:
    """Everyone else by how well they could do all the things: those who can, of the same site first and the longest good; then by how little they lack."""
    found = [_stand_in(one, things, one.person in posted_here) for one in others if one.person != of.person]
    return sorted(found, key=lambda one: (len(one.lacks), not one.posted_here, -(one.good_through or date.max).toordinal(), one.row.name, one.row.person))


def _stand_in(row: Row, things: Sequence[str], here: bool) -> StandIn:
    lacks = tuple(thing for thing in things if not row.standings[thing].in_date)
    ends = [row.standings[thing].good_through for thing in things if row.standings[thing].in_date]
    return StandIn(row, lacks, min((end for end in ends if end is not None), default=None), here)


@dataclass(frozen=True, slots=True)
class Lapse:
    """One thing of one person that lapsed already or will within 90 days; `within`: 0 for lapsed, else 30, 60 or 90."""

    row: Row
    standing: Standing
    within: int

    @property
    def what(self) -> str:
        return spoken(self.standing.thing)


def lapses(rows: Iterable[Row], today: date) -> list[Lapse]:
    """What of what people need lapsed, and what of all they hold lapses within 90 days, the soonest first."""
    found = [Lapse(row, one, within) for row in rows for one in row.standings.values() if (within := _within(row, one, today)) is not None]
    return sorted(found, key=lambda one: (one.standing.good_through or date.min, one.row.name, one.row.person, one.standing.thing))


def _within(row: Row, one: Standing, today: date) -> int | None:
    if not one.in_date:
        return 0 if one.thing in row.needed and one.since is not None else None
    return ahead(one.good_through, today)


def ahead(good_through: date | None, today: date) -> int | None:
    """Within how many of 30, 60 and 90 days the last good day falls; None where it falls later, or never."""
    return next((days for days in AHEAD if good_through is not None and good_through <= today + timedelta(days=days)), None)


class Falling(Protocol):
    """Something that falls within so many days; 0: it lapsed already."""

    within: int


def counted(found: Iterable[Falling]) -> dict[int, int]:
    """How many lapsed already, and how many will within 30, 60 and 90 days: each counts once, where it first falls."""
    counts = dict.fromkeys((0, *AHEAD), 0)
    for one in found:
        counts[one.within] += 1
    return counts
