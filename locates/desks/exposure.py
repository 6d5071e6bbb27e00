"""Where the firm is exposed: what lapsed and what lapses ahead, of people, instruments and open permits, each figure with the records behind it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.urls import reverse

from locates.desks.own import due_says
from locates.instruments.facts import for_due
from locates.permits import lists
from locates.rules import due
from records.firm.facts import own_zone
from records.firm.models import Person
from records.rules.dates import day_says, local_day
from training import cover
from training.rules.matrix import AHEAD, ahead, counted

LAPSED = 0
GROUPS = (LAPSED, *AHEAD)
TITLES = {LAPSED: "Lapsed already", **{days: f"Within {days} days" for days in AHEAD}}
MOST_AT_RISK = 5


@dataclass(frozen=True)
class Owed:
    """One thing that an instrument needs, and when it falls: 0 for lapsed, else within 30, 60 or 90 days."""

    instrument: str
    name: str
    says: str
    within: int
    through: date | None

    @property
    def leads(self) -> str:
        return reverse("leaf", args=["instruments", self.instrument])


def page(person: Person, at: datetime) -> dict[str, Any]:
    """The figures of the safety manager's first page, and the open permits that are blocked."""
    found = cover.asked(person, at, {})
    people, kit = counted(cover.ahead(found)), counted(owed(found.zone, at))
    every = lists.chosen(lists.visible(person, at), {}, at)
    open_now = every.filter(valid_to__gt=at)
    lines = lists.lines(open_now, at, person)
    risky = [line for line in lines if not line.verdict.clear]
    return {
        "titles": [TITLES[one] for one in GROUPS],
        "people": [(people[one], f"{reverse('ahead')}#within-{place}") for place, one in enumerate(GROUPS, 1)],
        "kit": [(kit[one], f"{reverse('kit_due')}#within-{place}") for place, one in enumerate(GROUPS, 1)],
        "gaps": sum(len(row.gaps) for row in found.rows),
        "open_permits": len(lines),
        "at_risk": len(risky),
        "risky": risky[:MOST_AT_RISK],
    }


def owed(zone: ZoneInfo, at: datetime) -> list[Owed]:
    """What instruments in service need and lack, or will within 90 days, the soonest first."""
    today = local_day(at, zone)
    return sorted(_every(zone, at, today), key=lambda one: (one.within, one.through or date.min, one.instrument))


def _every(zone: ZoneInfo, at: datetime, today: date) -> Iterator[Owed]:
    for key, instrument in for_due(at).items():
        if due.in_service(instrument, today):
            for need in due.needs(instrument, zone, at):
                if (within := _within(need, today)) is not None:
                    yield Owed(key, f"{instrument.kind.capitalize()} {key}", due_says(need, today), within, need.through)


def _within(need: due.Due, today: date) -> int | None:
    return ahead(need.through, today) if need.good else LAPSED


def kit_page(person: Person, at: datetime) -> dict[str, Any]:
    """Every instrument that is due, by when."""
    zone = own_zone(person, at)
    found = owed(zone, at)
    return {"groups": [(TITLES[one], [each for each in found if each.within == one]) for one in GROUPS], "day": day_says(local_day(at, zone)), "zone": zone.key}


def kit_rows(person: Person, at: datetime) -> Iterator[list[str]]:
    yield ["instrument", "state", "good_through", "within_days"]
    for one in owed(own_zone(person, at), at):
        yield [one.instrument, one.says, str(one.through or ""), str(one.within)]
