"""What the sketch shows, and the ground's arithmetic with what is being drawn: reckoned by the rules, stored nowhere."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.http import QueryDict
from shapely import from_wkt
from shapely.geometry import mapping
from shapely.geometry.base import BaseGeometry

from locates.fieldwork import facts, underlays
from locates.fieldwork.models import FieldSheet
from locates.fieldwork.rules import underway
from locates.fieldwork.rules.tally import tally
from locates.permits.paper import COLOURS
from locates.permits.rules.evidence import Evidence
from locates.permits.rules.frame import framed
from locates.permits.rules.gate import ground
from locates.rules.ground import covers
from locates.trials.models import PlannedLine, TrialHole
from records.rules.columns import AREA, BEARING, LINE, METRES, OUTLINE
from records.rules.corners import line, polygon
from records.rules.kinds import Kind
from records.rules.text import Unfit
from records.rules.trench import given
from records.rules.words import QUALITY_LEVELS, TECHNIQUES, TRACE_TECHNIQUES, UTILITIES, spoken

Feature = dict[str, Any]


def collection(row: FieldSheet, at: datetime) -> dict[str, Any]:
    """All that lies on the sketch as a GeoJSON FeatureCollection, but in the site's own metre grid."""
    evidence, sheet = facts.gathered(row, at)
    features = [*_ground(evidence, at, outlined=sheet.outline is not None), *_lines(evidence, at), *_dug(row)]
    return {"type": "FeatureCollection", "features": features, "underlay": underlays.shown(row), "grid": underlays.grid(row)}


def _feature(kind: str, shape: BaseGeometry, **told: Any) -> Feature:
    return {"type": "Feature", "geometry": mapping(shape), "properties": {"kind": kind} | told}


def _ground(evidence: Evidence, at: datetime, outlined: bool) -> Iterator[Feature]:
    shapes = ground(evidence, at)
    for one in evidence.locate.sweeps:
        yield _feature("swept", one.area, id=one.sweep, technique=one.technique, label=f"{one.sweep}: {spoken(one.technique)}")
    if not outlined:
        return
    yield _feature("needed", shapes.needed, label="ground to sweep")
    for technique, shape in shapes.unswept.items():
        if not covers(shapes.needed.difference(shape), shapes.needed):  # what is left out by so little is swept
            yield _feature("unswept", shape, technique=technique, label=f"not swept by {spoken(technique)}")
    for trace, shape in shapes.zones.items():
        yield _feature("zone", shape, id=trace, label=f"dig by hand near {trace}")
    yield _feature("outline", evidence.permit.outline, label="the dig")


def _lines(evidence: Evidence, at: datetime) -> Iterator[Feature]:
    scheme = framed(evidence, at).scheme
    for one in evidence.locate.traces:
        colour = COLOURS[one.utility][0]
        label = f"{spoken(one.utility)}, {scheme.level(one.quality_level)}"
        yield _feature("trace", one.line, id=one.trace, label=label, technique=one.technique, utility=one.utility, colour=colour, level=one.quality_level)


def _dug(row: FieldSheet) -> Iterator[Feature]:
    for one in TrialHole.objects.filter(locate=row.locate_id or None).order_by("pk"):
        shape = from_wkt(f"POINT ({one.x} {one.y})")
        yield _feature("hole", shape, id=one.pk, label=f"hole {one.pk}: {spoken(one.utility)}", utility=one.utility, colour=COLOURS[one.utility][0])
    for one in PlannedLine.objects.filter(service__enquiry__site=row.locate.site_id).select_related("service").order_by("pk"):
        label = f"{spoken(one.service.utility)} {one.service_id}, as planned"
        yield _feature("planned", from_wkt(one.line), id=one.service_id, label=label, utility=one.service.utility, colour=COLOURS[one.service.utility][0])
    for one in row.locate.fixes.order_by("pk") if row.locate_id else ():
        yield _feature("fix", from_wkt(f"POINT ({one.x} {one.y})"), id=one.pk, label=f"{one.pk}: phone, within {one.accuracy_m} m")


# while drawing


def with_draft(row: FieldSheet, data: QueryDict, at: datetime) -> dict[str, Any]:
    """The arithmetic as it would be with the shape that is being drawn, in words; what cannot be read yet is said."""
    evidence, sheet = facts.gathered(row, at)
    outline, unfit = sheet.outline, ""
    try:
        if data.get("what") == "outline":
            outline = from_wkt(_read(OUTLINE, _outline(data)))
            evidence = underway.with_outline(evidence, outline)
        else:
            evidence = _drawn(evidence, data)
    except Unfit as fault:
        unfit = str(fault)
    says = tally(framed(evidence, at)).says if outline is not None else []
    return {"says": says, "unfit": unfit, "outlined": outline is not None}


def _outline(data: QueryDict) -> str:
    shape = data.get("shape", "")
    return given(shape, _number(METRES, data.get("width", ""))) if shape.strip() else ""


def _drawn(evidence: Evidence, data: QueryDict) -> Evidence:
    technique = data.get("technique", "")
    if data.get("what") == "area":
        shape = from_wkt(_read(AREA, polygon(data.get("shape", ""))))
        if technique not in TECHNIQUES:
            raise Unfit("the technique is not chosen yet")
        first, second = (_number(BEARING, data.get(name, "")) for name in ("bearing_deg", "across_deg"))
        evidence = underway.with_sweep(evidence, technique, shape, first)
        return underway.with_sweep(evidence, technique, shape, second) if second is not None else evidence
    shape = from_wkt(_read(LINE, line(data.get("shape", ""))))
    utility, level = data.get("utility", ""), data.get("quality_level", "")
    if technique not in TRACE_TECHNIQUES or utility not in UTILITIES or level not in QUALITY_LEVELS:
        raise Unfit("the utility, the technique and the quality level are not chosen yet")
    return underway.with_trace(evidence, utility, technique, shape, level, _number(METRES, data.get("width_m", "")))


def _read(kind: Kind, text: str) -> str:
    if not text.strip():
        raise Unfit("nothing is drawn yet")
    return kind.read(text.strip())


def _number(kind: Kind, text: str) -> Any:
    return kind.read(text.strip()) if text.strip() else None
