"""Trial holes beside the readings that they check, gathered in a fixed number of queries."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.urls import reverse
from shapely import Point, from_wkt

from locates.rules import depth
from locates.surveys.facts import limits_at
from locates.trials.models import TrialHole
from locates.trials.rules.agreement import MILLIMETRE, Agreement, Pair, agreement, left_out, says
from records.access import may
from records.books.words import Said
from records.firm.facts import in_force_at
from records.firm.models import Person, Site
from records.rules.numbers import EVERY_NUMBER

SEE = "agreement.see"
LEAST = "agreement_least_holes"


@dataclass(frozen=True)
class Held:
    """A trial hole held against the reading of its trace. `left_out`: why it tells nothing of the reading. `beside_m`: from the hole to the traced line."""

    hole: TrialHole
    read: str
    pair: Pair | None
    left_out: str
    beside_m: Decimal | None


def holes() -> QuerySet[TrialHole]:
    """Trial holes with all that says what they check, the latest first."""
    near = ("locate__site", "person", "trace__locate__site", "trace__locate__receiver", "trace__locate__operator")
    return TrialHole.objects.select_related(*near).order_by("-exposed_at", "hole")


def held(rows: Sequence[TrialHole], at: datetime) -> list[Held]:
    """Each hole beside its reading, by the numbers in force. One query."""
    by = limits_at(list({one.locate.site_id: one.locate.site for one in rows}.values()), at)
    return [_held(one, by[one.locate.site_id]) for one in rows]


def _held(hole: TrialHole, by: depth.Limits) -> Held:
    trace = hole.trace
    read = depth.number(trace, by) if trace is not None else None
    why = left_out(hole, trace, read)
    beside = None if trace is None else Decimal(from_wkt(trace.line).distance(Point(hole.x, hole.y))).quantize(MILLIMETRE)
    return Held(hole, "" if trace is None else depth.says(trace, by), None if why else Pair(read, hole.depth_m), why, beside)


def agreed(some: Iterable[Held]) -> Agreement:
    return agreement([one.pair for one in some if one.pair is not None])


def least(sites: Iterable[Site], at: datetime) -> int:
    """How many holes are wanted before anything is said: the most that is asked at any of the sites."""
    found = in_force_at(list({site.pk: site for site in sites}.values()), at)
    return max((one.whole(LEAST) for one in found.values()), default=int(EVERY_NUMBER[LEAST].default))


def line_of_instrument(instrument: Any, person: Person, at: datetime) -> Said:
    """What trial holes say of the readings made with a receiver: a line on its own page; nothing where there is no hole."""
    rows = list(holes().filter(trace__locate__receiver=instrument.pk))
    found = held(rows, at)
    leads = f"{reverse('agreement')}?instrument={instrument.pk}" if may(person, SEE) else ""
    words = says(agreed(found), least((one.locate.site for one in rows), at)) if rows else ""
    return Said("Its depths against trial holes", words, leads)
