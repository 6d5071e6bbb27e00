"""The matrix, and what lapses ahead, on paper."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from records.paper.bands import bands_drawing
from records.paper.bars import Chart
from records.paper.drawing import svg
from records.paper.frames import ACROSS, BODY, PADDING, SMALL, Heading, Parted, document, heading, paragraph, table
from records.paper.text import width

NOTICE = (
    "It tells what is on record, and is no leave to dig: for a permit each authorisation is asked for on the day and at the site."
    " Local law, the owners' rules and licensed practice come first."
)
PAGE_WIDTH, PAGE_SIZE = 280, 12  # of the chart on a page, in its own units: its words stay legible on a telephone
SIZES = (SMALL, 7, 6.5, 6, 5.5)
OF_A_PERSON, OF_A_THING = 17, 9.2  # how wide the columns of the matrix are to each other


def cover_pdf(title: str, asked: str, made: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> bytes:
    """The people asked for, one a row, with every cell in words, on paper that lies across."""
    shares = (OF_A_PERSON, *(OF_A_THING for _ in heads[1:]))
    body = table(heads, rows, shares, _size(heads, shares), width=ACROSS.width) if rows else _across("Nobody is like that.", BODY)
    return _document(title, asked, made, [body])


def _size(heads: Sequence[str], shares: Sequence[float]) -> float:
    """The largest at which no column cuts a word of its head."""
    widths = [ACROSS.width * share / sum(shares) for share in shares]

    def uncut(size: float) -> bool:
        return all(width(word, size, True) <= room - PADDING for head, room in zip(heads, widths, strict=True) for word in head.split())

    return next((size for size in SIZES if uncut(size)), SIZES[-1])


def _across(said: str, size: float, bold: bool = False) -> Flowable:
    return paragraph(said, size, bold, ACROSS.width)


def _document(title: str, asked: str, made: str, body: list[Flowable]) -> bytes:
    story = [_across(title, 18, True), _across(asked, 10), *body]
    return document(story, Heading(title, f"As of {made}", False, NOTICE), ACROSS)


def ahead_svg(chart: Chart) -> str:
    return svg(bands_drawing(chart, PAGE_WIDTH, PAGE_SIZE))


def ahead_pdf(asked: str, made: str, chart: Chart, rows: Sequence[Sequence[str]]) -> bytes:
    """The chart of what lapses, and the same in words."""
    drawn = [Parted(lambda part: bands_drawing(chart, ACROSS.width, SMALL, part), 0, len(chart.bars))] if chart.bars else []
    told = [table(("Who", "What", "How it stands"), rows, (30, 25, 45), SMALL, width=ACROSS.width)] if rows else [_across("Nothing lapses.", BODY)]
    return _document("What lapses in the next 90 days", asked, made, [*drawn, *heading("In words", ACROSS.width), *told])
