"""What lies near a dig and whose it is, so far as that is on record: each trace, and each service of the plans whose place is not known.

What is not on record is taken as what could be: whose a trace is, of which utility, at what voltage or pressure.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from locates.owners.rules.terms import UNKNOWN, Need
from locates.permits.rules.evidence import Enquiry, PlanService, Trace
from locates.permits.rules.frame import Frame
from locates.rules.ground import edge_distance, six
from records.rules.names import owner_key
from records.rules.words import spoken


@dataclass(frozen=True, slots=True)
class Part:
    """One service at a place, so far as it is on record. `owner` blank, `kilovolts` and `bars` None: not on record. `same`: its names on plans."""

    service: str
    same: frozenset[str]
    owner: str
    utilities: frozenset[str]
    kilovolts: Decimal | None = None
    bars: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Place:
    """A trace, or a service whose place is not known: then it has neither `trace` nor `distance_m`."""

    subject: str
    words: str
    trace: Trace | None
    distance_m: float | None
    parts: tuple[Part, ...]


def places(frame: Frame) -> list[Place]:
    """Each trace of the locate, and each service to account for that could be anywhere."""
    return [*_traced(frame), *_anywhere(frame)]


def reaches(need: Need, place: Place) -> bool:
    """Is the place within the need's distance, or could it be?"""
    return place.distance_m is None or six(place.distance_m) <= need.within_m


def _traced(frame: Frame) -> Iterator[Place]:
    shown = _shown(frame)
    for trace in frame.locate.traces:
        parts = tuple(_part(frame, *shown[name], trace.utility) for name in sorted(trace.services) if name in shown)
        unnamed = Part("", frozenset(), "", frozenset({trace.utility}))
        apart = edge_distance(frame.permit.outline, trace.line, trace.width_m)
        yield Place(f"trace:{trace.trace}", f"trace {trace.trace} ({spoken(trace.utility)})", trace, apart, parts or (unnamed,))


def _anywhere(frame: Frame) -> Iterator[Place]:
    """The services to account for that no trace names and that no outcome has outside the dig."""
    shown = _shown(frame)
    outside = {one.service for one in frame.locate.outcomes if one.outcome == "outside_dig"}
    placed = outside.union(*(trace.services for trace in frame.locate.traces))
    for service in sorted(frame.services, key=lambda one: one.service):
        if not frame.same[service.service] & placed:
            words = f"the {spoken(service.utility)} service {service.service}"
            yield Place(f"service:{service.service}", words, None, None, (_part(frame, *shown[service.service]),))


def _shown(frame: Frame) -> dict[str, tuple[Enquiry, PlanService]]:
    return {service.service: (one, service) for one in frame.enquiries if frame.answered(one) for service in one.services}


def _part(frame: Frame, enquiry: Enquiry, service: PlanService, traced: str = UNKNOWN) -> Part:
    same = frame.same[service.service]
    utilities = frozenset({service.utility, traced} - {UNKNOWN} or {UNKNOWN})
    known = [one for one in frame.evidence.owners.ratings if one.service in same and one.told_on <= frame.today]
    kilovolts, bars = (
        max(((one.told_on, told) for one in known if (told := getattr(one, column)) is not None), default=(None, None))[1]
        for column in ("voltage_kv", "pressure_bar")
    )
    return Part(service.service, same, enquiry.service_owner, utilities, kilovolts, bars)


def concerns(need: Need, part: Part) -> bool:
    """Does the need speak of such a service, or could it, for all that is on record?"""
    return (
        (not need.utility or bool({need.utility, UNKNOWN} & part.utilities))
        and (not need.owner or not part.owner or owner_key(need.owner) == owner_key(part.owner))
        and _over(need.above_kv, part.kilovolts)
        and _over(need.above_bar, part.bars)
    )


def _over(limit: Decimal | None, told: Decimal | None) -> bool:
    return limit is None or told is None or told > limit
