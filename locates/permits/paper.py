"""The sheet on paper and on the page: the permit as PDF, and the plan and the time bars as SVG. It shows what the sheet says, and judges nothing."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from shapely import LineString, MultiPolygon, Polygon, union_all
from shapely.geometry.base import BaseGeometry

from records.paper.bars import Bar, Chart, charts
from records.paper.drawing import svg
from records.paper.key import key_drawings, stacked
from records.paper.plan import Ground, Plan, Traced, plan_drawing
from records.rules.dates import day_says, instant_says

Data = dict[str, Any]
PAGE_WIDTH, PAGE_SIZE = 400, 11  # of a drawing on a page, in its own units: its words stay legible on a telephone
PAGE_SLACK = 1.15  # the page's own font may run wider than the paper's

# The APWA Uniform Color Code's colours by utility (pink: not known); the letter and the dashes tell them apart in a grey copy
UTILITIES = {
    "electricity": ("E", "#d7191c", ()),
    "gas": ("G", "#ffd400", (9, 3)),
    "oil": ("O", "#ffd400", (9, 3, 2, 3)),
    "heating": ("H", "#ffd400", (2, 2)),
    "telecom": ("T", "#f58220", (5, 2, 1, 2)),
    "water": ("W", "#1f5fbf", (14, 3)),
    "reclaimed_water": ("R", "#7b3fa0", (14, 3, 2, 3)),
    "sewer": ("S", "#1a8f3c", (5, 3)),
    "drainage": ("D", "#1a8f3c", (5, 3, 5, 3, 1, 3)),
    "unknown": ("U", "#ff69b4", (1, 3)),
}
HATCHES = {"passive_power": 45.0, "passive_radio": 135.0}


def plan_svg(sheet: Data) -> str:
    plan = plan_of(sheet)
    drawn = plan_drawing(plan, PAGE_WIDTH, PAGE_WIDTH * 1.2, PAGE_SIZE, False, PAGE_SLACK)
    return svg(stacked([drawn, *key_drawings(plan, PAGE_WIDTH, PAGE_SIZE, float("inf"), PAGE_SLACK)], PAGE_SIZE))


def bars_svg(sheet: Data) -> str:
    return svg(charts(chart_of(sheet), PAGE_WIDTH, PAGE_SIZE, slack=PAGE_SLACK)[0])


# the plan


def plan_of(sheet: Data) -> Plan:
    shapes = sheet["shapes"]
    outline, needed = polygons(shapes["outline"]), polygons(shapes["needed"])
    traces = tuple(_traced(tag, trace, shapes) for tag, trace in tagged(sheet["traces"]))
    says = f"Plan of permit {sheet['permit']}: the dig's outline, the ground swept, the traced lines and the hand-dig zones."
    return Plan(union_all([outline, needed]), tuple(_grounds(sheet, outline, needed)), traces, says)


def tagged(traces: list[Data]) -> Iterator[tuple[str, Data]]:
    """Each trace with its tag: the utility's letter and a running number."""
    count: dict[str, int] = {}
    for trace in traces:
        letter = UTILITIES[trace["utility"]][0]
        count[letter] = count.get(letter, 0) + 1
        yield f"{letter}{count[letter]}", trace


def _grounds(sheet: Data, outline: BaseGeometry, needed: BaseGeometry) -> Iterator[Ground]:
    shapes = sheet["shapes"]
    swept = [polygons(one) for one in shapes["swept"].values()]
    if swept:
        names = ", ".join(spoken(name) for name in shapes["swept"])
        yield Ground(union_all(swept), f"ground swept: {names}", "#f4f1e6", None)
    yield Ground(needed, "ground that must be swept", None, "#000000", 0.6, (4, 2))
    for name, angle in HATCHES.items():
        left_out = polygons(shapes["unswept"].get(name, []))
        if not left_out.is_empty:
            yield Ground(left_out, f"NOT SWEPT: {spoken(name)}", None, "#a61b1b", 0.8, hatch=angle)
    areas = {one["subject"]: one["area_m2"] for one in sheet["conditions"] if one["code"] == "hand_dig"}
    tags = {trace["trace"]: tag for tag, trace in tagged(sheet["traces"])}
    for at, (trace, rings) in enumerate(shapes["overlaps"].items()):
        key = "" if at else "dig by hand here; each area stands beside it"
        yield Ground(polygons(rings), key, None, "#444444", 0.6, (1, 1.5), 0.0, f"{tags[trace]} hand dig {areas[f'trace:{trace}']} m²")
    for at, rings in enumerate(shapes["zones"].values()):
        yield Ground(polygons(rings), "" if at else "hand-dig zone of a traced line", None, "#444444", 0.6, (1, 1.5))
    yield Ground(outline, "outline of the dig", None, "#000000", 1.8)


def _traced(tag: str, trace: Data, shapes: Data) -> Traced:
    _, colour, dash = UTILITIES[trace["utility"]]
    key = f"{tag} {spoken(trace['utility'])}, quality level {trace['quality_level']}, {trace['depth']} (trace {trace['trace']}, {spoken(trace['technique'])})"
    return Traced(LineString(_points(shapes["lines"][trace["trace"]])), f"{tag} · {trace['quality_level']}", key, colour, dash)


def polygons(areas: list[list[str]]) -> BaseGeometry:
    return MultiPolygon([Polygon(_points(outer), [_points(ring) for ring in holes]) for outer, *holes in areas])


def _points(coordinates: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in (pair.split(" ") for pair in coordinates.split(","))]


# the time bars


def chart_of(sheet: Data) -> Chart:
    zone = zone_of(sheet)
    begins, ends = map(datetime.fromisoformat, sheet["window"])
    names = ", ".join(one["label"] for one in sheet["limited_by"])
    says = f"good {until_says(sheet['good_until'], sheet['good_through'], zone)}: then ends {names}"
    bars = tuple(Bar(one["label"], state_of(one, zone), _instant(one["begins"]), _instant(one["ends"]), one["good"]) for one in sheet["standing"])
    return Chart(bars, (begins, ends), datetime.fromisoformat(sheet["at"]), datetime.fromisoformat(sheet["good_until"]), says, zone)


def _instant(said: str) -> datetime | None:
    return datetime.fromisoformat(said) if said else None


def state_of(bar: Data, zone: ZoneInfo) -> str:
    """How a piece of evidence stands, in words."""
    if not bar["begins"]:
        return "NONE"
    if bar["group"] == "check":
        return "in time for the locate" if bar["good"] else "NOT GOOD"
    end = until_says(bar["ends"], bar["through"], zone) if bar["ends"] else ""
    if bar["good"]:
        return f"good {end}" if end else "good, no end"
    return f"NOT GOOD, ended {end}" if end else "NOT GOOD"


def until_says(end: str, last_day: str, zone: ZoneInfo) -> str:
    """An end as people read it: through its last day, or until an instant."""
    if last_day:
        return f"through {day_says(datetime.fromisoformat(last_day).date())}"
    return f"until {instant_says(datetime.fromisoformat(end), zone)}"


def zone_of(sheet: Data) -> ZoneInfo:
    return ZoneInfo(sheet["site"]["zone"])


def spoken(word: str) -> str:
    return word.replace("_", " ")
