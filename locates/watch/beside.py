"""What the safety manager's first page says of the watch: whether it runs, and which letters may not have reached anyone."""

from datetime import datetime, timedelta
from typing import Any

from django.db.models import Max
from django.urls import reverse
from django.utils.http import urlencode

from locates.watch.facts import ACT
from locates.watch.models import Round
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
    zone = own_zone(person, at)
    last, since = Round.objects.aggregate(last=Max("at"))["last"], local_day(at - LATELY, zone)
    lost = lost_since(day_start(since, zone), at)
    still = last is None or last < at - LATE
    if not still and not lost:
        return None
    leads = f"{reverse('letters')}?{urlencode({'state': ANY_LOST, 'since': since})}"
    return {"template": "watch/_beside.html", "still": still, "last": instant_says(last, zone) if last else "", "lost": lost, "leads": leads}
