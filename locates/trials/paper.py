"""Plans against the ground as a drawing: planned lines dashed, traced lines whole, and between them where they lie farthest apart."""

from collections.abc import Iterable, Iterator

from shapely import box, union_all
from shapely.geometry.base import BaseGeometry

from locates.permits.paper import COLOURS, PAGE_SIZE, PAGE_WIDTH
from locates.permits.rules.evidence import Trace
from locates.trials.rules.against import Dug, Planned, Shown, by_which
from records.paper.drawing import svg
from records.paper.key import key_drawing, stacked
from records.paper.plan import Ground, Plan, Traced, plan_drawing
from records.rules.words import spoken

AS_PLANNED = (5.0, 3.0)
FARTHEST = "#a61b1b"
HOLE_M, TICK_M, BAR_M = 0.15, 0.02, 0.03  # metres
NOTE_AWAY, SEEN_AROUND = 0.08, 0.2  # of what is seen


def against_svg(
    outline: BaseGeometry, traces: Iterable[Trace], shown: Iterable[Shown], planned: dict[str, tuple[Planned, str]], holes: Iterable[Dug], says: str
) -> str:
    """The drawing with its key, for a page."""
    marks = [one for one in shown if one.difference is not None and one.difference.mark.length > TICK_M]
    view = union_all([outline, *(one.difference.mark for one in marks)])
    near = box(*view.bounds).buffer(SEEN_AROUND * max(view.bounds[2] - view.bounds[0], view.bounds[3] - view.bounds[1]))
    dug = [one for one in holes if one.place.intersects(near)]
    grounds = (Ground(outline, "outline of the dig", None, "#000000", 1.4), *_holes(dug), *_apart(marks, view))
    lines = (*_planned(planned), *_traced(traces))
    plan = Plan(view, grounds, tuple(one for one in lines if one.line.intersects(near)), says)
    drawn = plan_drawing(plan, PAGE_WIDTH, PAGE_WIDTH * 1.2, PAGE_SIZE, False)
    return svg(stacked([drawn, key_drawing(plan, PAGE_WIDTH, PAGE_SIZE)], PAGE_SIZE))


def _planned(planned: dict[str, tuple[Planned, str]]) -> Iterator[Traced]:
    for service, (one, utility) in sorted(planned.items()):
        yield Traced(one.line, f"{service} plan", f"{service} {spoken(utility)}, dashed: as the owner's plan shows it", COLOURS[utility][0], AS_PLANNED)


def _traced(traces: Iterable[Trace]) -> Iterator[Traced]:
    for one in traces:
        yield Traced(one.line, one.trace, f"{one.trace} {spoken(one.utility)}, whole: as found on the ground, {by_which(one)}", COLOURS[one.utility][0])


def _apart(marks: Iterable[Shown], view: BaseGeometry) -> Iterator[Ground]:
    """A bar from each trace to its plan, where they lie farthest apart; its length stands beside it, not upon it."""
    left, bottom, right, top = view.bounds
    aside = NOTE_AWAY * max(right - left, top - bottom)
    for one in marks:
        mark, metres = one.difference.mark, f"{one.difference.largest_m.normalize():f} m"
        key = f"{metres}: where {one.service.service} lies farthest from its plan"
        yield Ground(mark.buffer(BAR_M, cap_style="flat"), key, FARTHEST, FARTHEST, 0.8)
        yield Ground(mark.parallel_offset(aside).centroid.buffer(BAR_M), "", note=metres)


def _holes(holes: Iterable[Dug]) -> Iterator[Ground]:
    for one in holes:
        key = f"{one.hole}: trial hole, {spoken(one.utility)} seen"
        yield Ground(one.place.buffer(HOLE_M), key, COLOURS[one.utility][0], "#000000", 1.0, note=one.hole)
