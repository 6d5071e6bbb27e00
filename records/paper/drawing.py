"""A drawing as plain shapes, set on paper or written as SVG for a page: the same lines, areas and words on both.

Points from the lower left corner. The SVG bears presentation attributes only, so that a strict content policy lets it be; its words are in the page's font.
"""

from dataclasses import dataclass
from functools import cache
from html import escape

from reportlab.lib.colors import Color, HexColor
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, Canvas

from records.paper import text

Point = tuple[float, float]
INK, PAPER, FRAME = "#000000", "#ffffff", "#777777"
EDGE = 8  # of blank paper around a drawing on a page
ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}


@dataclass(frozen=True, slots=True)
class Stroke:
    points: tuple[Point, ...]
    width: float = 0.6
    colour: str = INK
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Area:
    """Rings within rings are holes. No fill or no colour: none is drawn."""

    rings: tuple[tuple[Point, ...], ...]
    fill: str | None = None
    colour: str | None = INK
    width: float = 0.6
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text; `anchor`: which of its ends, or its middle, stands at x."""

    x: float
    y: float
    said: str
    size: float = 8
    bold: bool = False
    anchor: str = "start"
    colour: str = INK

    @property
    def wide(self) -> float:
        return text.width(self.said, self.size, self.bold)

    @property
    def left(self) -> float:
        return self.x - ANCHORS[self.anchor] * self.wide


Item = Stroke | Area | Words


@dataclass(frozen=True, slots=True)
class Drawing:
    """`says` tells in words what is drawn, for those who cannot see it."""

    width: float
    height: float
    items: tuple[Item, ...]
    says: str


@cache
def ink(colour: str) -> Color:
    """The colour as the paper's library has it."""
    return HexColor(colour)


def box(x: float, y: float, width: float, height: float) -> tuple[Point, ...]:
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height))


# on paper


def set_on(canvas: Canvas, drawing: Drawing, x: float, y: float) -> None:
    """Set the drawing with its lower left corner at the point."""
    canvas.saveState()
    canvas.translate(x, y)
    canvas.setLineJoin(1)
    for item in drawing.items:
        _set_item(canvas, item)
    canvas.restoreState()


def _set_item(canvas: Canvas, item: Item) -> None:
    if isinstance(item, Words):
        canvas.setFillColor(ink(item.colour))
        text.draw(canvas, item.left, item.y, text.one_line(item.said), item.size, item.bold)
        return
    canvas.setLineWidth(item.width)
    canvas.setDash(list(item.dash) if item.dash else [], 0)
    if item.colour:
        canvas.setStrokeColor(ink(item.colour))
    path = canvas.beginPath()
    for ring in item.rings if isinstance(item, Area) else (item.points,):
        path.moveTo(*ring[0])
        for point in ring[1:]:
            path.lineTo(*point)
        if isinstance(item, Area):
            path.close()
    fill = item.fill if isinstance(item, Area) else None
    if fill:
        canvas.setFillColor(ink(fill))
    canvas.drawPath(path, stroke=int(bool(item.colour)), fill=int(bool(fill)), fillMode=FILL_EVEN_ODD)


# on a page


def svg(drawing: Drawing) -> str:
    """The drawing as an SVG element as wide as the place it is put in, on paper of its own."""
    wide, tall = _number(drawing.width + 2 * EDGE), _number(drawing.height + 2 * EDGE)
    opening = (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{escape(text.visible(drawing.says))}" '
        f'width="100%" viewBox="-{EDGE} -{EDGE} {wide} {tall}" fill="none" stroke-linejoin="round">'
    )
    ground = f'<rect x="-{EDGE}" y="-{EDGE}" width="{wide}" height="{tall}" fill="{PAPER}"/>'
    return "\n".join((opening, ground, *(_svg_item(item, drawing.height) for item in drawing.items), "</svg>"))


def _svg_item(item: Item, height: float) -> str:
    if isinstance(item, Words):
        return _svg_words(item, height)
    rings = item.rings if isinstance(item, Area) else (item.points,)
    end = "Z" if isinstance(item, Area) else ""
    drawn = "".join("M" + "L".join(f"{_number(x)} {_number(height - y)}" for x, y in ring) + end for ring in rings)
    attributes = [f'd="{drawn}"']
    if item.colour:
        attributes.append(f'stroke="{item.colour}" stroke-width="{_number(item.width)}"')
        if item.dash:
            attributes.append(f'stroke-dasharray="{" ".join(map(_number, item.dash))}"')
    if isinstance(item, Area) and item.fill:
        attributes.append(f'fill="{item.fill}" fill-rule="evenodd"')
    return f"<path {' '.join(attributes)}/>"


def _svg_words(item: Words, height: float) -> str:
    bold = ' font-weight="bold"' if item.bold else ""
    anchor = f' text-anchor="{item.anchor}"' if item.anchor != "start" else ""
    place = f'x="{_number(item.x)}" y="{_number(height - item.y)}" font-size="{_number(item.size)}"'
    return f'<text {place} fill="{item.colour}"{bold}{anchor}>{escape(text.visible(item.said))}</text>'


def _number(value: float) -> str:
    return f"{round(value, 2) + 0:.2f}".rstrip("0").rstrip(".")
