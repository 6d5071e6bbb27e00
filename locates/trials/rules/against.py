"""Owners' plans against the ground: how each service of the plans was accounted for, by the gate's own reckoning, and how far plan and trace lie apart.

Shapes are in the site's metre grid. Two lines are held against each other only where they run beside each other: beyond its end a plan shows nothing.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

import shapely
from shapely.geometry import LineString, Point
from shapely.ops import nearest_points

from locates.permits.rules.evidence import Enquiry, PlanService, Trace
from locates.permits.rules.frame import Frame, linked
from locates.permits.rules.search import Account, accounts
from locates.rules.depth import metres_says
from locates.rules.ground import six
from records.rules.words import EXPOSED, spoken

SEEN, TRACED, OUTSIDE, NOT_FOUND, DOUBTED, UNACCOUNTED = "exposed", "traced", "outside the dig", "not found", "in doubt", "unaccounted"
SETTLED = (SEEN, TRACED, OUTSIDE)
BY_BLOCK = {"service.not_found": NOT_FOUND, "service.wrong_technique": DOUBTED}
STEP_M, MOST_STEPS = 0.1, 5000
MILLIMETRE, CENTIMETRE = Decimal("0.001"), Decimal("0.01")
END = 1e-9  # metres from the end of a line that still are its end


@dataclass(frozen=True, slots=True)
class Planned:
    """Where a plan shows a service, and how far it may be off by the owner's own word."""

    line: LineString
    accuracy_m: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Dug:
    """A trial hole: where, what was exposed there, and whose trace's line; None: nobody's."""

    hole: str
    trace: str | None
    place: Point
    utility: str


@dataclass(frozen=True, slots=True)
class Difference:
    """How far a trace lies from a plan where they run beside each other: at most, on the mean, over what length; and the farthest places.

    Where they nowhere do: how near they come.
    """

    largest_m: Decimal
    mean_m: Decimal
    beside_m: Decimal
    mark: LineString

    @property
    def says(self) -> str:
        if not self.beside_m:
            return f"nowhere beside each other; {metres_says(self.largest_m)} apart at the nearest"
        mean, beside = (metres_says(one.quantize(CENTIMETRE)) for one in (self.mean_m, self.beside_m))
        return f"{metres_says(self.largest_m)} apart at most, {mean} on the mean, over {beside}"


@dataclass(frozen=True, slots=True)
class Shown:
    """A service on an owner's plan, and what came of it. `traces`: those that vouch for it, else those that name it. `limit_m`: what may lie between."""

    service: PlanService
    enquiry: Enquiry
    how: str
    says: str
    traces: tuple[Trace, ...]
    holes: tuple[Dug, ...]
    planned: Planned | None
    difference: Difference | None
    limit_m: Decimal

    @property
    def beyond(self) -> bool:
        """Does it lie farther from the plan than may be?"""
        return self.difference is not None and self.difference.largest_m > self.limit_m


def compared(frame: Frame, planned: dict[str, Planned], holes: Sequence[Dug], limit_m: Decimal) -> list[Shown]:
    """Each service to account for. `planned`: by service; `limit_m`: what may lie between plan and trace where the owner says nothing of it."""
    asked, lines = {one.enquiry: one for one in frame.enquiries}, by_service(frame, planned)
    return [_shown(frame, account, asked[account.service.enquiry], lines, holes, limit_m) for account in accounts(frame)]


def by_service(frame: Frame, drawn: dict[str, Planned]) -> dict[str, Planned]:
    """For each service its own line, else that of one that is said to be the same, of a later answer too: a plan is often drawn from its latest issue."""
    every = [service for one in frame.evidence.enquiries for service in one.services]
    same = linked([(service.service, other) for service in every for other in service.same_as], {service.service for service in every})
    named = {name: max((one for one in names if one in drawn), default="") for name, names in same.items()}
    return {name: drawn[name] if name in drawn else drawn[other] for name, other in named.items() if name in drawn or other}


def _shown(frame: Frame, account: Account, enquiry: Enquiry, planned: dict[str, Planned], holes: Sequence[Dug], limit_m: Decimal) -> Shown:
    service, names = account.service, frame.same[account.service.service]
    traces = account.vouching or tuple(one for one in frame.locate.traces if names & set(one.services))
    dug = tuple(one for one in holes if one.trace in {trace.trace for trace in traces})
    line = planned.get(service.service)
    apart = difference([one.line for one in traces], line.line) if line is not None and traces else None
    limit = line.accuracy_m if line is not None and line.accuracy_m is not None else limit_m
    return Shown(service, enquiry, how(account), _says(frame, account, names, dug), traces, dug, line, apart, limit)


def how(account: Account) -> str:
    """In one word or two how the service was accounted for, or that it was not."""
    if account.vouching:
        return SEEN if any(one.technique == EXPOSED for one in account.vouching) else TRACED
    if account.by_word:
        return OUTSIDE
    return NOT_FOUND if account.block is None else BY_BLOCK.get(account.block.code, UNACCOUNTED)


def _says(frame: Frame, account: Account, names: frozenset[str], dug: Sequence[Dug]) -> str:
    told = "; ".join(one.note for one in frame.locate.outcomes if one.service in names and one.note)
    if account.vouching:
        return "; ".join(f"exposed in trial hole {one.hole}" for one in dug)
    if account.block is not None and account.block.code not in ("service.not_found", "service.unaccounted"):
        return account.block.says
    return told


def by_which(trace: Trace) -> str:
    """How a trace came to be."""
    return "seen" if trace.technique == EXPOSED else f"by {spoken(trace.technique)}"


def difference(traced: Sequence[LineString], planned: LineString) -> Difference:
    """How far the traced lines lie from the planned one. Looked at every 0.1 m, and at every bend."""
    every = [sample for line in traced for sample in _along(line)]
    points = [point for point, _ in every]
    places, apart = shapely.line_locate_point(planned, points).tolist(), shapely.distance(points, planned).tolist()
    found = [(far, weight, point, place) for (point, weight), place, far in zip(every, places, apart, strict=True) if _within(place, planned)]
    length = sum(weight for _, weight, _, _ in found)
    if not length:
        return _nowhere_beside(traced, planned)
    # of places that are equally far, one away from the ends and from the middle, where a drawing has its tags
    order = sorted(range(len(found)), key=lambda index: (-_millimetres(found[index][0]), abs(index - len(found) / 4)))
    far, _, point, place = found[order[0]]
    mean = sum(far * weight for far, weight, _, _ in found) / length
    return Difference(_millimetres(far), _millimetres(mean), _millimetres(length), LineString([point, planned.interpolate(place)]))


def _along(line: LineString) -> Iterator[tuple[Point, float]]:
    """Points along a line: the middles of short pieces, each weighing its length in metres, and the bends, which weigh nothing."""
    count = min(max(math.ceil(line.length / STEP_M), 1), MOST_STEPS)
    for number in range(count):
        yield line.interpolate((number + 0.5) / count, normalized=True), line.length / count
    for xy in line.coords:
        yield Point(xy), 0.0


def _within(place: float, planned: LineString) -> bool:
    """Does the planned line go on to both sides of the place?"""
    return planned.is_ring or END < place < planned.length - END


def _nowhere_beside(traced: Sequence[LineString], planned: LineString) -> Difference:
    near = min(traced, key=planned.distance)
    ends = nearest_points(near, planned)
    apart = _millimetres(near.distance(planned))
    return Difference(apart, apart, Decimal(0), LineString(ends))


def _millimetres(metres: float) -> Decimal:
    return six(metres).quantize(MILLIMETRE)


# what owners are told


@dataclass(frozen=True, slots=True)
class Told:
    """Something that an owner wants to know: what, and by which trace, trial hole or service. `owner`: whose plan it is; blank: nobody knows whose it is."""

    says: str
    trace: str = ""
    hole: str = ""
    service: str = ""
    owner: str = ""


def to_tell(frame: Frame, every: Sequence[Shown], planned: dict[str, tuple[Planned, str]], holes: Iterable[Dug], limit_m: Decimal) -> Iterator[Told]:
    """What is to be reported: services found that no plan shows, and those that lie farther from the plan than may be. `planned`: with their utilities."""
    for one in every:
        if one.beyond:
            traced = " and ".join(trace.trace for trace in one.traces)
            says = f"{one.service.service} {spoken(one.service.utility)}: traced as {traced}, {one.difference.says}; {metres_says(one.limit_m)} may be"
            yield Told(says, trace=one.traces[0].trace, service=one.service.service, owner=one.enquiry.service_owner)
    for trace in frame.locate.traces if frame.locate else ():
        if not trace.services:
            dug = "".join(f", exposed in trial hole {one.hole}" for one in holes if one.trace == trace.trace)
            yield Told(f"{trace.trace} {spoken(trace.utility)}: traced by {spoken(trace.technique)}{dug}, and shown on no plan", trace=trace.trace)
    for one in holes:
        if one.trace is None and not _on_a_plan(one, planned, limit_m):
            yield Told(f"{one.hole} {spoken(one.utility)}: exposed in a trial hole, on no trace, and shown on no plan", hole=one.hole)


def _on_a_plan(hole: Dug, planned: dict[str, tuple[Planned, str]], limit_m: Decimal) -> bool:
    """Does a plan show such a service there, as far off as may be?"""
    alike = (line for line, utility in planned.values() if hole.utility == utility or "unknown" in (hole.utility, utility))
    return any(_millimetres(line.line.distance(hole.place)) <= (line.accuracy_m or limit_m) for line in alike)
