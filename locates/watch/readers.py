"""What each reader is told by which lines: everything that lapses, sorted once, so that a thousand readers ask no more than ten."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from locates.watch.facts import Days
from locates.watch.lapsing import About
from locates.watch.rules.ahead import Thing, due
from locates.watch.rules.arrangement import OWN, Arrangement, Line, lines_of
from records.firm.models import Person
from records.rules.words import SAFETY_MANAGER, SUPERVISOR

TOLD = dict[tuple[str, str, date], set[int]]


@dataclass(frozen=True)
class News:
    """Of a line, a thing that is to be told, and so many days ahead."""

    line: Line
    thing: Thing
    days: int


class Sorted:
    """Everything that lapses, by line and by whom or where it concerns."""

    def __init__(self, every: Iterable[About], farthest: int) -> None:
        self.found: dict[tuple[Line, str], list[Thing]] = defaultdict(list)
        for one in every:
            if 0 <= one.thing.left <= farthest:
                self._add(one)

    def _add(self, one: About) -> None:
        subject = one.thing.subject
        self.found[(subject, SAFETY_MANAGER), ""].append(one.thing)
        for person in one.people:
            self.found[(subject, OWN), person].append(one.thing)
        for site in one.sites:
            self.found[(subject, SUPERVISOR), site].append(one.thing)

    def by(self, line: Line, person: str, supervises: Iterable[str]) -> Iterator[Thing]:
        """What concerns the person by that line."""
        where = {OWN: [person], SUPERVISOR: sorted(supervises), SAFETY_MANAGER: [""]}.get(line[1], [])
        for one in where:
            yield from self.found.get((line, one), ())


def news(person: Person, every: Sorted, supervises: Iterable[str], arranged: Arrangement, chosen: Days, told: TOLD) -> list[News]:
    """What the person is to be told now: each thing once, by the first line that tells it."""
    found: dict[str, News] = {}
    for line in lines_of(person.roles):
        days = arranged.less(line, chosen)
        for thing in every.by(line, person.pk, supervises):
            reached = due(thing, days, told.get((person.pk, thing.key, thing.last_day), ()))
            if reached is not None and thing.key not in found:
                found[thing.key] = News(line, thing, reached)
    return list(found.values())
