"""The people that a permit in preparation could name, as its page offers them: chosen, posted to the site, the rest; and who cannot be, with why."""

from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from locates.permits.rules.candidates import Candidate
from records.rules.dates import last_day_says
from records.rules.names import stands_in

SHORT = 6  # a list that needs no looking through
POSTED, OTHERS = "Posted to this site", "The rest of the firm"


@dataclass(frozen=True)
class Against:
    """Someone or something that cannot be chosen now, and the gate's words on why."""

    name: str
    says: tuple[str, ...]
    found: bool = True


@dataclass(frozen=True)
class Pick:
    """Someone who can be ticked. `found`: is this a name that was looked for, or is everybody shown?"""

    person: str
    name: str
    until: str
    chosen: bool
    found: bool


@dataclass(frozen=True)
class Crew:
    """Who can be ticked, in three parts, and the part of a name that was looked for."""

    find: str = ""
    chosen: tuple[Pick, ...] = ()
    posted: tuple[Pick, ...] = ()
    others: tuple[Pick, ...] = ()

    @property
    def every(self) -> tuple[Pick, ...]:
        return (*self.chosen, *self.posted, *self.others)

    @property
    def long(self) -> bool:
        return len(self.every) > SHORT

    @property
    def parts(self) -> list[tuple[str, str, tuple[Pick, ...], bool]]:
        """Each part that has anybody: its mark on the page, title, people, and whether it is folded away, as most of a firm is where a site has its own."""
        every = ("crew-chosen", "Chosen", self.chosen, False), ("crew-posted", POSTED, self.posted, False), ("crew-others", OTHERS, self.others, self._folded)
        return [part for part in every if part[2]]

    @property
    def _folded(self) -> bool:
        return len(self.others) > SHORT or bool(self.posted)

    @property
    def shown(self) -> int:
        return sum(one.found or one.chosen for one in self.every)


def named(one: Candidate, cell: str | None) -> bool:
    return one.person.person in (cell or "").split(";")


def grouped(every: list[Candidate], here: set[str], zone: ZoneInfo) -> list[tuple[str, Any]]:
    """As choices: those who are posted to the site stand before the others."""
    parts = {POSTED: [one for one in every if one.person.person in here], OTHERS: [one for one in every if one.person.person not in here]}
    return [(title, [(one.person.person, ", ".join(filter(None, _person_words(one, zone)))) for one in part]) for title, part in parts.items() if part]


def crew(every: list[Candidate], here: set[str], cell: str | None, find: str, zone: ZoneInfo) -> Crew:
    picks = [Pick(one.person.person, *_person_words(one, zone), named(one, cell), stands_in(find, _called(one))) for one in every]
    free = [one for one in picks if not one.chosen]
    posted, others = ([one for one in free if (one.person in here) is is_posted] for is_posted in (True, False))
    return Crew(find, tuple(one for one in picks if one.chosen), tuple(posted), tuple(others))


def _called(one: Candidate) -> str:
    return f"{one.person.name} ({one.person.person})"


def _person_words(one: Candidate, zone: ZoneInfo) -> tuple[str, str]:
    """Who it is, and until when they may."""
    if one.against:
        return _called(one), "not as it stands"
    return _called(one), f"through {last_day_says(one.ends, zone)}" if one.ends else ""


def against(one: Candidate, find: str) -> Against:
    return Against(_called(one), tuple(finding.says for finding in one.against), stands_in(find, _called(one)))
