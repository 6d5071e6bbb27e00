"""The sheet on paper and on the page: the permit as PDF, and the plan and the time bars as SVG. It shows what the sheet says, and judges nothing."""

from collections.abc import Iterator
from datetime import datetime
from functools import partial
from typing import Any
from zoneinfo import ZoneInfo

from reportlab.platypus import CondPageBreak, Flowable, KeepTogether
from shapely import LineString, MultiPolygon, Polygon, union_all
from shapely.geometry.base import BaseGeometry

from locates.permits.rules.form import NO_PLACE
from locates.permits.sheet import digest
from records.paper.bars import Bar, Chart, bars_drawing
from records.paper.bearing import Mark, marked
from records.paper.drawing import svg
from records.paper.frames import BODY, HEIGHT, SMALL, WIDTH, Blanks, Heading, Parted, Picture, document, heading, paragraph, table
from records.paper.key import key_drawing, keyed, stacked
from records.paper.plan import Ground, Plan, Traced, plan_drawing
from records.rules.dates import day_says, day_start, instant_says, local_day
from records.rules.words import TECHNIQUES, spoken

Data = dict[str, Any]
NOTICE = "This paper is no proof that the ground holds nothing: take every service as live. Local law, the owners' rules and licensed practice come first."
UNNUMBERED = "A copy to read: it bears no number, and nobody can look up whether it still holds."
NUMBERED = " Work on the paper that is printed from the signed permit's page."
AS_SIGNED = "All that follows is as it was signed: what it calls good was good then."
PRECAUTIONS = "Precautions"  # the item after which stands what owners agreed to
CLOSING = ("Hand-back", "Cancellation")  # what is still filled in by hand when a signed permit is no longer good
BARS_AT_LEAST, SHORT_TABLE = 160, 8  # points; rows that are not parted by a page's end
MOST_NAMED, LONGEST_NAMED = 6, 80
PAGE_WIDTH, PAGE_SIZE = 320, 12  # of a drawing on a page, in its own units: its words stay legible on a telephone

# The APWA Uniform Color Code's colours by utility (pink: not known); the letter and the dashes tell them apart in a grey copy
COLOURS = {
    "electricity": ("#d7191c", ()),
    "gas": ("#ffd400", (9, 3)),
    "oil": ("#ffd400", (9, 3, 2, 3)),
    "heating": ("#ffd400", (2, 2)),
    "telecom": ("#f58220", (5, 2, 1, 2)),
    "water": ("#1f5fbf", (14, 3)),
    "reclaimed_water": ("#7b3fa0", (14, 3, 2, 3)),
    "sewer": ("#1a8f3c", (5, 3)),
    "drainage": ("#1a8f3c", (5, 3, 5, 3, 1, 3)),
    "unknown": ("#ff69b4", (1, 3)),
}
HATCHES = {"passive_power": 45.0, "passive_radio": 135.0}


def plan_svg(sheet: Data) -> str:
    plan = plan_of(sheet)
    drawn = plan_drawing(plan, PAGE_WIDTH, PAGE_WIDTH * 1.2, PAGE_SIZE, False)
    return svg(stacked([drawn, key_drawing(plan, PAGE_WIDTH, PAGE_SIZE)], PAGE_SIZE))


def bars_svg(sheet: Data) -> str:
    return svg(bars_drawing(chart_of(sheet), PAGE_WIDTH, PAGE_SIZE))


# the paper


def permit_pdf(sheet: Data, mark: Mark | None = None) -> bytes:
    """The permit on sheets of A4. The same sheet and mark give the same bytes. Without a mark it is a copy to read, and says so."""
    zone, name = zone_of(sheet), f"Permit to dig {sheet['permit']}"
    titles = [(name, 18, True), (sheet["site"]["name"], 12, False)]
    told = UNNUMBERED if _stopped(sheet) else UNNUMBERED + NUMBERED
    top = [marked(titles, mark)] if mark else [paragraph(*one) for one in (*titles, (told, SMALL, False))]
    story = [*top, *_emergency(sheet), *_refusal(sheet, zone)]
    for number, item in enumerate(sheet["items"], start=1):
        parts = list(_item(number, item, sheet, zone))
        story += [KeepTogether(parts)] if item.get("whole") else parts
        if item["title"] == PRECAUTIONS:
            story += _owners(sheet)
    story += [*_evidence(sheet, zone), *_drawings(sheet), *_cautions(sheet)]
    foot = f"Permit {sheet['permit']}, judged at {_says(sheet['at'], zone)}. SHA-256 of this sheet: {_own_digest(sheet)}\n{NOTICE}"
    state = f"EMERGENCY WORK. {_state(sheet, zone)}" if "emergency" in sheet else _state(sheet, zone)
    return document(story, Heading(f"{name}, {mark.number}" if mark else name, state, bool(_refused(sheet) or _stopped(sheet)), foot))


def _refused(sheet: Data) -> list[Data]:
    """Why there must be no digging; of a signed permit, what came to be known later."""
    return sheet.get("later", {}).get("blocks", []) or (sheet["blocks"] if sheet["kind"] == "blocked" else [])


def _stopped(sheet: Data) -> list[str]:
    """In a word and a sentence: why nobody digs by a signed permit any more, whatever the gate says."""
    return sheet.get("later", {}).get("stopped", [])


def _state(sheet: Data, zone: ZoneInfo) -> str:
    if stopped := _stopped(sheet):
        return f"NOT TO DIG: {stopped[0].lower()}"
    if _refused(sheet):
        return "NOT TO DIG" if sheet["kind"] == "blocked" else "NOT TO DIG: no longer good since it was signed"
    if sheet["kind"] != "signed":
        return "NOT YET ACCEPTED: no work on this paper" if sheet["kind"] == "issued" else "NOT YET SIGNED: no work on this paper"
    return f"SIGNED, from {_says(sheet['window'][0], zone)} to {_says(sheet['window'][1], zone)}"


def _emergency(sheet: Data) -> Iterator[Flowable]:
    if told := sheet.get("emergency"):
        yield from heading("EMERGENCY WORK")
        yield paragraph(f"Decided by {told['decided_by']} on {told['decided_at']}. Dug without the plans of: {told['without']}.", bold=True)
        yield paragraph(f"Every service is taken as live. By hand or vacuum only. Follow-up {told['follow_up']}.")


def _refusal(sheet: Data, zone: ZoneInfo) -> Iterator[Flowable]:
    reasons = _refused(sheet)
    if stopped := _stopped(sheet):
        yield from heading(f"{stopped[0]}: nobody digs by this permit")
        yield paragraph(stopped[1], bold=True)
    if reasons:
        when = f", as judged at {_says(sheet['later']['at'], zone)}" if "later" in sheet else ""
        yield from heading(f"Why there must be no digging{when}")
        rows = [[one["says"], from_says(one["since"], zone) if one["since"] else "", one["remedy"]] for one in reasons]
        yield table(["What is wrong", "Since", "What to do about it"], rows, [45, 17, 38], BODY)
    if "later" in sheet:
        yield paragraph(AS_SIGNED, bold=True)


def _item(number: int, item: Data, sheet: Data, zone: ZoneInfo) -> Iterator[Flowable]:
    head = [*heading(f"{number}  {item['title']}"), *map(paragraph, item.get("says", []))]
    if item.get("rows"):
        heads = item.get("heads", [])
        made = table(heads, item["rows"], item.get("shares", [22, 78]), SMALL if heads else BODY)
        # a whole item is kept together already, and such a keeping within another would always break the page
        short = len(item["rows"]) <= SHORT_TABLE and not item.get("whole")
        said = head if item.get("says") else []
        head = [*said, KeepTogether([*head[len(said) :], made])] if short else [*head, made]
    yield from head
    yield from map(paragraph, item.get("says_after", []))
    if "meaning" in item:
        yield from _signature(item, sheet, zone)
    elif not (_refused(sheet) or _stopped(sheet)) or item["title"] in CLOSING:
        yield from map(Blanks, item.get("blanks", []))


def _signature(item: Data, sheet: Data, zone: ZoneInfo) -> Iterator[Flowable]:
    made = next((one for one in sheet["signatures"] if one["meaning"] == item["meaning"]), None)
    if made:
        rows = [
            ["Signed by", f"{made['name']} ({made['person']})"],
            ["At", _says(made["at"], zone)],
            ["Meaning", item["title"]],
            ["Declared", made["declaration"]],
        ]
        yield table([], [*rows, ["Upon", f"the sheet with SHA-256 {made['digest'] or _own_digest(sheet)}"]], [22, 78], BODY)
    elif _refused(sheet):
        yield paragraph(NO_PLACE, bold=True)
    else:
        yield paragraph(f"Not yet signed. To be declared: {sheet['declarations'][item['meaning']]}")
        yield from map(Blanks, item["blanks"])


def _own_digest(sheet: Data) -> str:
    return digest({key: value for key, value in sheet.items() if key != "later"})


def _evidence(sheet: Data, zone: ZoneInfo) -> Iterator[Flowable]:
    yield from heading("Evidence, and until when each piece is good")
    rows = [[one["label"], one["detail"], from_says(one["begins"], zone) if one["begins"] else "", state_of(one, zone)] for one in sheet["standing"]]
    yield table(["What", "Record", "From", "Good until"], rows, [31, 32, 15, 22])


def _owners(sheet: Data) -> Iterator[Flowable]:
    """What owners are asked for and agreed to; older sheets, and those where no owner is asked for anything, have none."""
    told = sheet.get("owners", {})
    if told:
        yield from heading("Conditions of the owners")
    if told.get("needs"):
        yield table(["What is needed", "Where", "By which rule", "On record"], told["needs"], [22, 26, 32, 20])
    if told.get("agreements"):
        yield paragraph("What owners agreed to:", bold=True)
        yield table(["Agreement", "Whose, and until when", "What was agreed", "In the owner's words"], told["agreements"], [14, 32, 22, 32])


def _drawings(sheet: Data) -> Iterator[Flowable]:
    chart, plan = chart_of(sheet), plan_of(sheet)
    yield CondPageBreak(BARS_AT_LEAST)
    yield from heading("Time bars")
    yield Parted(partial(bars_drawing, chart, WIDTH, SMALL), 0, len(chart.bars))
    drawn = plan_drawing(plan, WIDTH, HEIGHT * 0.55, SMALL)
    yield CondPageBreak(drawn.height + 60)
    yield from heading("Plan")
    yield Picture(drawn)
    yield Parted(partial(key_drawing, plan, WIDTH, SMALL), 0, len(keyed(plan)))


def _cautions(sheet: Data) -> Iterator[Flowable]:
    yield from heading("Cautions")
    yield table(["What to know", "What to do about it"], [[one["says"], one["remedy"]] for one in sheet["cautions"]], [55, 45], bold=0)


def _says(instant: str, zone: ZoneInfo) -> str:
    return instant_says(datetime.fromisoformat(instant), zone)


# the plan


def plan_of(sheet: Data) -> Plan:
    shapes = sheet["shapes"]
    outline, needed = polygons(shapes["outline"]), polygons(shapes["needed"])
    traces = tuple(_traced(trace, shapes, sheet.get("scheme", "")) for trace in sheet["traces"])
    says = f"Plan of permit {sheet['permit']}: the dig's outline, the ground swept, the traced lines and the hand-dig zones."
    return Plan(union_all([outline, needed]), tuple(_grounds(sheet, outline, needed)), traces, says)


def _grounds(sheet: Data, outline: BaseGeometry, needed: BaseGeometry) -> Iterator[Ground]:
    shapes = sheet["shapes"]
    swept = [polygons(one) for one in shapes["swept"].values()]
    if swept:
        names = ", ".join(spoken(name) for name in TECHNIQUES if name in shapes["swept"])
        yield Ground(union_all(swept), f"ground swept: {names}", "#f4f1e6", "#777777", 0.4, (10, 3))
    yield Ground(needed, "ground that must be swept", None, "#000000", 0.6, (4, 2))
    for name, angle in HATCHES.items():
        left_out = polygons(shapes["unswept"].get(name, []))
        if not left_out.is_empty:
            yield Ground(left_out, f"NOT SWEPT: {spoken(name)}", None, "#a61b1b", 0.8, hatch=angle)
    areas = {one["subject"]: one["area_m2"] for one in sheet["conditions"] if one["code"] == "hand_dig"}
    tags = {trace["trace"]: trace["tag"] for trace in sheet["traces"]}
    for at, (trace, rings) in enumerate(shapes["overlaps"].items()):
        key = "" if at else "dig by hand here, so many m²; the areas are also among the precautions"
        yield Ground(polygons(rings), key, None, "#444444", 0.6, (1, 1.5), 0.0, f"{tags[trace]} {areas[f'trace:{trace}']} m²")
    for at, rings in enumerate(shapes["zones"].values()):
        yield Ground(polygons(rings), "" if at else "hand-dig zone of a traced line", None, "#444444", 0.6, (1, 1.5))
    yield Ground(outline, "outline of the dig", None, "#000000", 1.8)


def _traced(trace: Data, shapes: Data, scheme: str) -> Traced:
    """`scheme`: that of the quality levels; sheets signed before it was named have none."""
    tag, level = trace["tag"], trace["quality_level"] + (f" by {scheme}" if scheme else "")
    colour, dash = COLOURS[trace["utility"]]
    key = f"{tag} {spoken(trace['utility'])}, quality level {level}, {trace['depth']} (trace {trace['trace']}, {spoken(trace['technique'])})"
    return Traced(LineString(_points(shapes["lines"][trace["trace"]])), f"{tag} · {trace['quality_level']}", key, colour, dash)


def polygons(areas: list[list[str]]) -> BaseGeometry:
    return MultiPolygon([Polygon(_points(outer), [_points(ring) for ring in holes]) for outer, *holes in areas])


def _points(coordinates: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in (pair.split(" ") for pair in coordinates.split(","))]


# the time bars


def chart_of(sheet: Data) -> Chart:
    zone = zone_of(sheet)
    begins, ends = map(datetime.fromisoformat, sheet["window"])
    names = _named([one["label"] for one in sheet["limited_by"]])
    end = until_says(sheet["good_until"], sheet["good_through"], zone)
    says = f"good {end}: then ends {names}" if sheet["kind"] != "blocked" else f"BLOCKED; of what still stands, the first to end is good {end}: {names}"
    bars = tuple(Bar(one["label"], state_of(one, zone), _instant(one["begins"]), _instant(one["ends"]), one["good"]) for one in sheet["standing"])
    return Chart(bars, (begins, ends), datetime.fromisoformat(sheet["at"]), datetime.fromisoformat(sheet["good_until"]), says, zone)


def _named(labels: list[str]) -> str:
    """The first few of what ends together, each cut short; the evidence table has them all in full."""
    told = [label if len(label) <= LONGEST_NAMED else f"{label[:LONGEST_NAMED]}…" for label in labels[:MOST_NAMED]]
    return ", ".join(told) + (f", and {len(labels) - MOST_NAMED} more" if len(labels) > MOST_NAMED else "")


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
    if not bar["begun"]:
        return f"NOT GOOD, begins {from_says(bar['begins'], zone)}"
    return f"NOT GOOD, was good {end}" if end else "NOT GOOD"


def until_says(end: str, last_day: str, zone: ZoneInfo) -> str:
    """An end as people read it: through its last day, or until an instant."""
    if last_day:
        return f"through {day_says(datetime.fromisoformat(last_day).date())}"
    return f"until {_says(end, zone)}"


def from_says(begin: str, zone: ZoneInfo) -> str:
    """A beginning as people read it: the day, where it is the day's first instant."""
    instant = datetime.fromisoformat(begin)
    day = local_day(instant, zone)
    return day_says(day) if instant == day_start(day, zone) else instant_says(instant, zone)


def zone_of(sheet: Data) -> ZoneInfo:
    return ZoneInfo(sheet["site"]["zone"])
