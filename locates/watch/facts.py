"""What is told ahead as it is arranged and chosen, what was told, and where readers' days begin."""

import json
from collections import defaultdict
from collections.abc import Collection
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Max, Q

from locates.watch.models import Arranged, Chosen, Round, Told
from locates.watch.rules.arrangement import Arrangement, Line, read
from records.firm.facts import own_zones
from records.firm.models import Person, Site
from records.rules.dates import local_day

ACT = "arranged.enter"
Days = dict[Line, tuple[int, ...]]


def arrangement() -> Arrangement:
    """What is told ahead to whom: as it was arranged last, else as usual."""
    last = Arranged.objects.order_by("-pk").first()
    if last is None:
        return Arrangement()
    data = json.loads(last.told)
    return Arrangement(data["hour"], read(data))


def chosen_by(people: Collection[str]) -> dict[str, Days]:
    """The days ahead that each of the people chose, of those who did."""
    rows = Chosen.objects.filter(person__pk__among=people).order_by("pk").values_list("person", "told")
    return {person: read(json.loads(told)) for person, told in rows}


def told_already(people: Collection[str], day: date) -> dict[tuple[str, str, date], set[int]]:
    """How many days ahead each of the people was told of each thing whose last day is not before this one, by person, thing and last day."""
    found: dict[tuple[str, str, date], set[int]] = defaultdict(set)
    rows = Told.objects.filter(last_day__gte=day, person__pk__among=people).values_list("person", "thing", "last_day", "days")
    for person, thing, last_day, days in rows:
        found[person, thing, last_day].add(days)
    return found


def staff(at: datetime) -> list[Person]:
    """Everyone who has not left everywhere on Earth."""
    return [one for one in Person.objects.order_by("person") if not one.has_left(at)]


def zones_to_tell(zones: Collection[ZoneInfo], hour: int, at: datetime) -> list[ZoneInfo]:
    """Those where the day is so far on, and nobody was told ahead yet on it."""
    awake = [zone for zone in sorted(set(zones), key=str) if at.astimezone(zone).hour >= hour]
    asked = Q(pk__in=[])
    for zone in awake:
        asked |= Q(zone=zone.key, day=local_day(at, zone))
    done = set(Round.objects.filter(asked).values_list("zone", flat=True))
    return [zone for zone in awake if zone.key not in done]


def last_told() -> dict[str, datetime]:
    """When the readers of each zone were last told ahead, by the zone's name, of those where anybody ever was."""
    return dict(Round.objects.order_by().values_list("zone").annotate(Max("at")))


def untold(told: dict[str, datetime], before: datetime, at: datetime) -> list[str]:
    """The zones of whose readers nobody was told since, the longest ago first: a watch that runs once a morning comes at night elsewhere, and tells none there.

    Only sites and readers that were there before, and still are, count: to a new one its first morning comes. People are looked at only where it may matter.
    """
    known = set(Site.objects.filter(recorded_at__lte=before).values_list("time_zone", flat=True).order_by().distinct())
    late = {zone for zone in known if zone not in told or told[zone] < before}
    if not late:
        return []
    people = staff(at)
    then, now = own_zones(people, before), own_zones(people, at)
    found = {zone.key for person, zone in now.items() if zone == then[person]} & late
    return sorted(found, key=lambda zone: (told[zone].timestamp() if zone in told else 0, zone))
