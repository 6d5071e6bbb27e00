"""The frozen copy of a permit: everything its paper prints, as plain data. What was signed is the SHA-256 of its canonical JSON.

Instants are text with the site's offset, days are dates, lengths are decimals in text, shapes are grid coordinates in text, to the millimetre.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from shapely import to_wkb
from shapely.geometry.base import BaseGeometry

from locates.permits.rules.depths import depth_says
from locates.permits.rules.evidence import Evidence, Locate, Permit, Person, Trace
from locates.permits.rules.form import declared, items, tags
from locates.permits.rules.gate import Ground, ground
from locates.permits.rules.levels import scheme
from locates.permits.rules.said import owners_said
from locates.permits.rules.signing import DECLARATIONS, MEANINGS
from locates.permits.rules.standing import Standing, standing
from records.ledger import chain
from records.rules.dates import instant_text, local_day
from records.rules.says import ends_with_a_day
from records.rules.verdict import Condition, Finding, Verdict, rounded

FORM = "permit to dig, sheet 1"
Data = dict[str, Any]
LITTLE_ENDIAN = 1
# what the digests of a locate's parts are made of; another choice would be another form of sheet
SWEPT = ("sweep", "technique", "area", "bearing_deg", "spacing_m", "transmitter_offset_m")
TRACED = ("trace", "utility", "technique", "line", "quality_level", "width_m", "depth_m", "raised_by_m", "raised_depth_m", "services")
ACCOUNTED = ("service", "outcome", "note")


def sheet(evidence: Evidence, verdict: Verdict, signatures: Sequence[Data]) -> Data:
    """The permit as it stands under the verdict. A signature is a dict with meaning, person, name, at (an instant), declaration and digest."""
    permit, zone = evidence.permit, evidence.site.zone
    bars = standing(evidence, verdict.at)
    traces = [_trace(one, tag, evidence, verdict.at) for one, tag in tags(evidence.locate.traces if evidence.locate else ())]
    return {
        "form": FORM,
        "permit": permit.permit,
        "site": {"site": evidence.site.site, "name": evidence.site.name, "zone": str(zone)},
        "at": instant_text(verdict.at, zone),
        "work": permit.work,
        "method": permit.method,
        "depth_m": _plain(permit.depth_m),
        "window": [instant_text(permit.valid_from, zone), instant_text(permit.valid_to, zone)],
        "people": {"issuer": _person(permit.issuer), "receiver": _person(permit.receiver), "crew": [_person(one) for one in permit.crew]},
        "traces": traces,
        "scheme": scheme(evidence, verdict.at).short,
        "items": items(evidence, verdict, traces),
        "standing": [_bar(one, zone, verdict.at) for one in bars],
        "shapes": _shapes(evidence, ground(evidence, verdict.at)),
        "rows": signed_rows(evidence),
        **_emergency(evidence, verdict.at),
        **_verdict(verdict, bars),
        **({"owners": told} if (told := owners_said(evidence, verdict)) else {}),
        "kind": kind(verdict, {one["meaning"] for one in signatures}),
        "declarations": DECLARATIONS,
        "signatures": [{**one, "at": instant_text(datetime.fromisoformat(one["at"]), zone)} for one in signatures],
    }


def _emergency(evidence: Evidence, at: datetime) -> Data:
    told = declared(evidence, at)
    return {"emergency": told} if told else {}


def signed_rows(evidence: Evidence) -> Data:
    """What never changes once it is signed, to be held against what is stored years later: the permit, its people, the locate, digests of its parts."""
    permit, locate = evidence.permit, evidence.locate
    return {
        "the permit": [permit.permit, evidence.site.site, permit.work, permit.method, _plain(permit.depth_m), _told(permit.outline), *_window(permit)],
        "who issues, receives and digs": [permit.issuer.person, permit.receiver.person, *(one.person for one in permit.crew)],
        "the locate": [locate.locate, locate.site, locate.operator.person, *_kit(locate), *_span(locate)] if locate else [],
        "what was swept, traced and told": _parts(locate) if locate else [],
        **_related(evidence),
    }


def _related(evidence: Evidence) -> Data:
    """Nothing for a permit that follows none and is no emergency: so it was before any was, and what was signed then stays right."""
    before, urgent = evidence.follows, evidence.emergency
    told = {"the permit that it follows": [before.permit.permit, before.why, before.changed]} if before else {}
    if urgent:
        told["the emergency"] = [urgent.danger, urgent.waiting, urgent.decided_by.person, chain.instant(urgent.decided_at)]
    return told


def _parts(locate: Locate) -> list[str]:
    """A digest of each sweep, trace and outcome, column by column."""
    columns = [(one, SWEPT) for one in locate.sweeps] + [(one, TRACED) for one in locate.traces] + [(one, ACCOUNTED) for one in locate.outcomes]
    return [chain.digest(chain.canonical([_told(getattr(one, name)) for name in names])) for one, names in columns]


def _told(value: Any) -> str:
    """A recorded value as text that no other library or version would write otherwise: a shape by its bits."""
    if isinstance(value, BaseGeometry):
        return to_wkb(value, hex=True, output_dimension=2, byte_order=LITTLE_ENDIAN)
    if isinstance(value, tuple):
        return ";".join(value)
    return _plain(value) if isinstance(value, Decimal) else str(value or "")


def _window(permit: Permit) -> list[str]:
    return [chain.instant(permit.valid_from), chain.instant(permit.valid_to)]


def _span(locate: Locate) -> list[str]:
    return [chain.instant(one) for one in (locate.started_at, locate.finished_at) if one]


def _kit(locate: Locate) -> list[str]:
    return [one.instrument if one else "" for one in (locate.receiver, locate.transmitter, locate.clamp, locate.sonde)]


def kind(verdict: Verdict, signed: set[str]) -> str:
    """What the paper is: blocked, whatever was signed; else signed, once both have; else issued or unsigned."""
    if verdict.blocks:
        return "blocked"
    return "signed" if signed == set(MEANINGS) else "issued" if signed else "unsigned"


def digest(data: Data) -> str:
    """The SHA-256 of the sheet's canonical JSON, in hex: what a signature is upon."""
    return chain.digest(chain.canonical(data))


def with_later(data: Data, verdict: Verdict, stopped: tuple[str, str] | None = None) -> Data:
    """A signed sheet, unchanged, and what the gate says of the permit later on; `stopped`: in a word and a sentence, why nobody digs by it any more."""
    later = {"at": instant_text(verdict.at, verdict.zone), "blocks": [_finding(one, verdict.zone) for one in verdict.blocks]}
    return {**data, "later": later | ({"stopped": list(stopped)} if stopped else {})}


def _verdict(verdict: Verdict, bars: Iterable[Standing]) -> Data:
    named = {bar.subject: bar.label for bar in bars}
    return {
        "blocks": [_finding(one, verdict.zone) for one in verdict.blocks],
        "cautions": [_finding(one, verdict.zone) for one in verdict.cautions],
        "conditions": [_condition(one) for one in verdict.conditions],
        "good_until": instant_text(verdict.good_until, verdict.zone),
        "good_through": _last_day(verdict.good_until, verdict.zone),
        "limited_by": [{"subject": one, "label": named.get(one, "the longest time that a permit may run")} for one in verdict.limited_by],
        "hand_zone": {"area_m2": str(rounded(verdict.hand_area_m2)), "volume_m3": str(rounded(verdict.hand_volume_m3))},
    }


def _finding(one: Finding, zone: ZoneInfo) -> Data:
    since = instant_text(one.since, zone) if one.since else ""
    return {"code": one.code, "subject": one.subject, "since": since, "says": one.says, "remedy": one.remedy}


def _condition(one: Condition) -> Data:
    numbers = {key: "" if (value := rounded(getattr(one, key))) is None else str(value) for key in ("distance_m", "area_m2", "volume_m3")}
    return {"code": one.code, "subject": one.subject, "says": one.says, **numbers}


def _person(person: Person) -> Data:
    return {"person": person.person, "name": person.name}


def _trace(one: Trace, tag: str, evidence: Evidence, at: datetime) -> Data:
    return {
        "tag": tag,
        "trace": one.trace,
        "utility": one.utility,
        "technique": one.technique,
        "quality_level": one.quality_level,
        "width_m": _plain(one.width_m),
        "services": list(one.services),
        "depth": depth_says(evidence, one, at),
    }


def _bar(one: Standing, zone: ZoneInfo, at: datetime) -> Data:
    begins, ends = (instant_text(end, zone) if end else "" for end in (one.begins, one.ends))
    through = _last_day(one.ends, zone) if one.ends else ""
    words = {"group": one.group, "subject": one.subject, "label": one.label, "detail": one.detail}
    return {**words, "begins": begins, "ends": ends, "through": through, "begun": one.begins is not None and one.begins <= at, "good": one.good}


def _last_day(end: datetime, zone: ZoneInfo) -> str:
    """The last whole day before an end that falls between two days; else nothing."""
    return local_day(end - timedelta(seconds=1), zone).isoformat() if ends_with_a_day(end, zone) else ""


def _shapes(evidence: Evidence, shapes: Ground) -> Data:
    traces = evidence.locate.traces if evidence.locate else ()
    return {
        "outline": areas(evidence.permit.outline),
        "needed": areas(shapes.needed),
        "swept": {name: areas(one) for name, one in shapes.swept.items()},
        "unswept": {name: areas(one) for name, one in shapes.unswept.items()},
        "zones": {name: areas(one) for name, one in shapes.zones.items()},
        "overlaps": {name: areas(one) for name, one in shapes.overlaps.items()},
        "lines": {one.trace: _coordinates(one.line.coords) for one in traces},
    }


def areas(shape: BaseGeometry) -> list[list[str]]:
    """Each polygon as its rings, the outer one first; each ring as `x y,x y` in metres."""
    return [[_coordinates(ring.coords) for ring in (polygon.exterior, *polygon.interiors)] for polygon in _polygons(shape)]


def _polygons(shape: BaseGeometry) -> Iterator[BaseGeometry]:
    if hasattr(shape, "geoms"):
        for part in shape.geoms:
            yield from _polygons(part)
    elif shape.geom_type == "Polygon" and not shape.is_empty:
        yield shape


def _coordinates(points: Iterable[Sequence[float]]) -> str:
    return ",".join(f"{_millimetres(x)} {_millimetres(y)}" for x, y, *_ in points)


def _millimetres(metres: float) -> str:
    return f"{round(metres, 3) + 0.0:.3f}"


def _plain(number: Decimal | None) -> str:
    return "" if number is None else f"{number.normalize():f}"
