"""What the safety manager's first page says of the watch: whether it runs, and by day everywhere, and which letters may not have reached anyone."""

from datetime import datetime, timedelta
from typing import Any

from django.urls import reverse
from django.utils.http import urlencode

from locates.watch.facts import ACT, last_told, untold
from records.access import may
from records.firm.facts import own_zone
from records.firm.models import Person
from records.letters.facts import lost_since
from records.letters.forms import ANY_LOST
from records.rules.dates import day_start, instant_says, local_day

LATE = timedelta(hours=36)  # longer than any day, in which somebody's morning must have come
LATELY = timedelta(days=7)


def part(person: Person, at: datetime) -> dict[str, Any] | None:
    """For the safety manager, where something is amiss; for anyone else nothing."""
    if not may(person, ACT):
        return None
    zone, told = own_zone(person, at), last_told()
    last, since = max(told.values(), default=None), local_day(at - LATELY, zone)
    lost = lost_since(day_start(since, zone), at)
    still = last is None or last < at - LATE
    night = [] if still else [(name, instant_says(told[name], zone) if name in told else "") for name in untold(told, at - LATE, at)]
    if not still and not night and not lost:
        return None
    leads = f"{reverse('letters')}?{urlencode({'state': ANY_LOST, 'since': since})}"
    said = {"still": still, "last": instant_says(last, zone) if last else "", "night": night, "lost": lost, "leads": leads}
    return {"template": "watch/_beside.html", **said}
