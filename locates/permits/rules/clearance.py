"""Where the dig comes near to what was traced: hand digging there, and no bore past what is not exposed."""

from collections.abc import Iterator
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from locates.permits.rules.evidence import Trace
from locates.permits.rules.frame import Frame
from locates.rules.ground import edge_distance, grown, overlap, united, zone_radius
from records.rules.verdict import Condition, Finding, rounded
from records.rules.words import EXPOSED, spoken


@dataclass(frozen=True, slots=True)
class Near:
    """A trace whose hand-dig zone matters to the outline: the zone's part in it, and metres from the outline to the service's edge."""

    trace: Trace
    within: BaseGeometry
    distance_m: float


def zone(frame: Frame, trace: Trace) -> BaseGeometry:
    """The ground around a trace in which digging is by hand."""
    tolerance = frame.numbers.number(f"position_tolerance_{trace.quality_level}_m")
    return grown(trace.line, zone_radius(trace.width_m, frame.numbers.number("hand_dig_m"), tolerance))


def near(frame: Frame) -> list[Near]:
    outline = frame.permit.outline
    shared = [(trace, overlap(outline, zone(frame, trace))) for trace in (frame.locate.traces if frame.locate else ())]
    return [Near(trace, within, edge_distance(outline, trace.line, trace.width_m)) for trace, within in shared if within is not None]


def hand_zone(frame: Frame, nearby: list[Near]) -> tuple[float, float]:
    """Area (m²) and volume (m³) of all hand digging together."""
    area = united(one.within for one in nearby).area
    return area, area * float(frame.permit.depth_m)


def conditions(frame: Frame, nearby: list[Near]) -> Iterator[Condition]:
    depth = float(frame.permit.depth_m)
    for one in nearby:
        area, trace = one.within.area, one.trace
        told = (
            f"Dig by hand near trace {trace.trace} ({spoken(trace.utility)}, quality level {frame.scheme.level(trace.quality_level)}): "
            f"{rounded(area)} m², {rounded(area * depth)} m³; {_reach(one.distance_m)}."
        )
        yield Condition("hand_dig", f"trace:{trace.trace}", told, one.distance_m, area, area * depth)


def _reach(distance_m: float) -> str:
    apart = rounded(distance_m)
    return f"its edge is {apart} m from the outline" if apart else "it reaches into the outline"


def blocks(frame: Frame, nearby: list[Near]) -> Iterator[Finding]:
    if frame.permit.method != "bore":
        return
    for one in nearby:
        trace = one.trace
        if trace.technique != EXPOSED:
            told = f"The bore comes near trace {trace.trace} ({spoken(trace.utility)}), which is not exposed."
            remedy = f"Bore elsewhere, or expose the service where the bore passes and record it{frame.anew}."
            yield Finding("clearance.bore_unexposed", f"trace:{trace.trace}", told, remedy)
