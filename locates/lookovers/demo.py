"""What stands in the diaries of the demo firm's permits that were dug by: written by the ordinary acts, on the day before the demo was made."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from locates.lookovers.actions import Told, write
from locates.lookovers.facts import owners_agreed
from locates.lookovers.rules.words import EVENT, LOOK_OVER, RAIN, SWEEP
from locates.permits.demo.days import Calendar
from locates.permits.models import Permit
from records.firm.models import Person
from records.rules.words import PASSIVE


@dataclass(frozen=True, slots=True)
class Written:
    """What somebody did, when, and what they told of it; `told`: columns of the row."""

    clock: str
    kind: str
    by: str
    told: dict[str, Any]


# nobody checked the receiver that morning, so it does not count
SWEPT = {"techniques": PASSIVE, "receiver_id": "RX-12", "place": "The whole base, along and across", "depth_m": Decimal("0.3")}
DIARIES = {
    "Q-121": (
        Written("07:40", LOOK_OVER, "P-08", {}),
        Written("09:30", SWEEP, "P-15", SWEPT),
        Written("13:20", EVENT, "P-20", {"occasion": RAIN}),
        Written("13:35", LOOK_OVER, "P-08", {}),
    ),
    "Q-122": (Written("07:50", LOOK_OVER, "P-13", {}),),
    "Q-131": (Written("17:40", LOOK_OVER, "P-13", {}),),
}


def write_some(at: datetime, root: str) -> None:
    """Write the diaries, on the day before the instant. `root`: where the site is, as letters bear it."""
    for permit in Permit.objects.filter(pk__in=DIARIES).select_related("site").order_by("pk"):
        days = Calendar(at, ZoneInfo(permit.site.time_zone))
        for one in DIARIES[permit.pk]:
            then = days.clock(days.day(1), one.clock)
            write(permit.pk, Person.objects.get(person=one.by), Told(one.kind, then, agreed=owners_agreed(permit.pk), **one.told), then, root=root)
