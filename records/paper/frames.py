"""Sheets of A4, upright or across: lines of text, ruled rows, places to fill in by hand, drawings; page x of y with the paper's number on every page."""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from typing import Any

from reportlab.lib.pagesizes import A4, landscape
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Flowable, Frame, PageTemplate, Spacer

from records.paper import text
from records.paper.drawing import INK, PAPER, Drawing, ink, set_on
from records.paper.fonts import BOLD, REGULAR, font

MARGIN, HEAD, FOOT = 42.0, 64.0, 44.0
BODY, SMALL = 8.5, 7.5
PADDING = 4.0  # between a column's text and the next
GREY = "#777777"


@dataclass(frozen=True, slots=True)
class Sheet:
    """Which way the paper lies, in points; `width` and `height` are what its margins leave."""

    wide: float
    tall: float

    @property
    def width(self) -> float:
        return self.wide - 2 * MARGIN

    @property
    def height(self) -> float:
        return self.tall - HEAD - FOOT


UPRIGHT, ACROSS = Sheet(*A4), Sheet(*landscape(A4))
WIDTH, HEIGHT = UPRIGHT.width, UPRIGHT.height


@dataclass(frozen=True, slots=True)
class Cell:
    """Text already wrapped to its column."""

    lines: tuple[text.Line, ...]
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands on every page: the paper's title and number, its state across the top, and what the foot says. `loud`: white on black."""

    title: str
    state: str
    loud: bool
    foot: str


class Rows(Flowable):
    """Rows of wrapped text in columns, parted over pages wherever a page ends, even within a row; `head` stands again on each page."""

    pad = 2.0

    def __init__(self, rows: Sequence[Sequence[Cell]], widths: Sequence[float], size: float, head: Sequence[Cell] | None = None, ruled: bool = True) -> None:
        super().__init__()
        self.rows, self.widths, self.size, self.head, self.ruled = list(rows), list(widths), size, head, ruled
        self.step = size * text.LEADING

    def _tall(self, row: Sequence[Cell]) -> float:
        return max(len(cell.lines) for cell in row) * self.step + 2 * self.pad

    def _every(self) -> list[Sequence[Cell]]:
        return [*([self.head] if self.head else []), *self.rows]

    def wrap(self, *_: float) -> tuple[float, float]:
        self.width, self.height = sum(self.widths), sum(map(self._tall, self._every()))
        return self.width, self.height

    def split(self, _: float, room: float) -> list[Flowable]:
        room -= self._tall(self.head) if self.head else 0
        whole, left = [], list(self.rows)
        while left and self._tall(left[0]) <= room:
            whole.append(left.pop(0))
            room -= self._tall(whole[-1])
        lines = int((room - 2 * self.pad) / self.step)
        if left and lines >= 2 and (not whole or self._tall(left[0]) > HEIGHT / 3):
            whole.append([Cell(cell.lines[:lines], cell.bold) for cell in left[0]])
            left[0] = [Cell(cell.lines[lines:], cell.bold) for cell in left[0]]
        if not whole or not left:
            return []
        return [Rows(part, self.widths, self.size, self.head, self.ruled) for part in (whole, left)]

    def draw(self) -> None:
        y = self.height
        for row in self._every():
            tall = self._tall(row)
            self._draw_row(row, y)
            y -= tall
            if self.ruled:
                self.canv.setLineWidth(0.8 if row is self.head else 0.3)
                self.canv.setStrokeColor(ink(INK if row is self.head else GREY))
                self.canv.line(0, y, self.width, y)

    def _draw_row(self, row: Sequence[Cell], top: float) -> None:
        x = 0.0
        self.canv.setFillColor(ink(INK))
        for cell, width in zip(row, self.widths, strict=True):
            for at, line in enumerate(cell.lines):
                text.draw(self.canv, x, top - self.pad - at * self.step - self.size * 1.05, line, self.size, cell.bold)
            x += width


class Picture(Flowable):
    """A drawing in the flow of the page."""

    def __init__(self, drawing: Drawing) -> None:
        super().__init__()
        self.drawing, self.width, self.height = drawing, drawing.width, drawing.height

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height + 6

    def draw(self) -> None:
        set_on(self.canv, self.drawing, 0, 3)


class Parted(Flowable):
    """A drawing of some rows of many, parted where a page ends; `make` draws those of a slice."""

    def __init__(self, make: Callable[[slice], Drawing], first: int, end: int) -> None:
        super().__init__()
        self.make, self.first, self.end = make, first, end
        self.drawing = make(slice(first, end))

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.drawing.width, self.drawing.height + 6

    def split(self, _: float, room: float) -> list[Flowable]:
        ends = range(self.first + 1, self.end)
        fitting = bisect_right(ends, room, key=lambda end: self.make(slice(self.first, end)).height + 6)
        return [Parted(self.make, self.first, ends[fitting - 1]), Parted(self.make, ends[fitting - 1], self.end)] if fitting else []

    def draw(self) -> None:
        set_on(self.canv, self.drawing, 0, 3)


class Blanks(Flowable):
    """Lines to fill in by hand, each blank with what belongs there beneath it."""

    step = 30.0

    def __init__(self, labels: Sequence[str], lines: int = 1) -> None:
        super().__init__()
        self.labels, self.lines = labels, lines

    def wrap(self, *_: float) -> tuple[float, float]:
        return WIDTH, self.lines * self.step

    def draw(self) -> None:
        share = WIDTH / len(self.labels)
        self.canv.setLineWidth(0.6)
        self.canv.setStrokeColor(ink(INK))
        self.canv.setFillColor(ink(INK))
        for line in range(self.lines):
            y = self.step * (self.lines - line) - 20
            for at, label in enumerate(self.labels):
                self.canv.line(at * share, y, (at + 1) * share - 8, y)
                text.draw(self.canv, at * share, y - 7.5, text.one_line(label), 6.5)


def cell(said: str, width: float, size: float = BODY, bold: bool = False) -> Cell:
    return Cell(text.wrapped(said, size, width - PADDING, bold), bold)


def paragraph(said: str, size: float = BODY, bold: bool = False, width: float = WIDTH) -> Rows:
    return Rows([[cell(said, width, size, bold)]], [width], size, ruled=False)


def heading(said: str, width: float = WIDTH) -> list[Flowable]:
    """A section's name over a rule, never the last thing on a page."""
    return [CondPageBreak(60), Spacer(0, 7), Rows([], [width], 10, [cell(said, width, 10, True)])]


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], shares: Sequence[float], size: float = SMALL, bold: int = 1, width: float = WIDTH) -> Rows:
    """Text in ruled columns, which share the width; the first `bold` of them are bold. Without heads there is no head row."""
    widths = [width * share / sum(shares) for share in shares]
    made = [[cell(said, width, size, at < bold) for at, (said, width) in enumerate(zip(row, widths, strict=True))] for row in rows]
    head = [cell(said, width, size, True) for said, width in zip(heads, widths, strict=True)] if heads else None
    return Rows(made, widths, size, head)


# the sheets


class _Pages(Canvas):
    """Holds the pages back until it is known how many there are."""

    def __init__(self, *args: Any, heading: Heading, sheet: Sheet, **options: Any) -> None:
        super().__init__(*args, **options)
        self._heading, self._sheet, self._held = heading, sheet, []

    def showPage(self) -> None:
        self._held.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        for number, held in enumerate(self._held, start=1):
            self.__dict__.update(held)
            _furnish(self, self._heading, self._sheet, f"page {number} of {len(self._held)}")
            super().showPage()
        super().save()


def _furnish(canvas: Canvas, said: Heading, sheet: Sheet, page: str) -> None:
    top, width = sheet.tall - 26, sheet.width
    canvas.setFillColor(ink(INK))
    text.draw(canvas, MARGIN, top, text.one_line(said.title), 9, True)
    text.draw(canvas, sheet.wide - MARGIN - text.width(page, 9), top, text.one_line(page), 9)
    canvas.setLineWidth(1.2)
    canvas.setStrokeColor(ink(INK))
    canvas.setFillColor(ink(INK if said.loud else PAPER))
    canvas.rect(MARGIN, top - 30, width, 24, fill=1)
    canvas.setFillColor(ink(PAPER if said.loud else INK))
    size = 18 if said.loud else 12
    size = min(size, size * (width - 12) / text.width(said.state, size, True))
    text.draw(canvas, MARGIN + (width - text.width(said.state, size, True)) / 2, top - 18 - size * 0.36, text.one_line(said.state), size, True)
    canvas.setFillColor(ink(INK))
    for at, line in enumerate(text.wrapped(said.foot, 6.5, width)[:2]):
        text.draw(canvas, MARGIN, 28 - 9 * at, line, 6.5)


def document(story: list[Flowable], said: Heading, sheet: Sheet = UPRIGHT) -> bytes:
    """The story on numbered sheets of A4, made for the sheet's width. The same story gives the same bytes."""
    font(REGULAR)
    font(BOLD)
    out = BytesIO()
    template = BaseDocTemplate(
        out,
        pagesize=(sheet.wide, sheet.tall),
        invariant=1,
        initialFontName=REGULAR,
        title=said.title,
        subject=said.state,
        author="",
        lang="en",
        pageCompression=1,
    )
    template.addPageTemplates(PageTemplate("sheet", [Frame(MARGIN, FOOT, sheet.width, sheet.height, 0, 0, 0, 0)]))
    template.build(story, canvasmaker=partial(_Pages, heading=said, sheet=sheet))
    return out.getvalue()
