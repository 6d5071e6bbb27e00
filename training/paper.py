"""The matrix, and what lapses ahead, on paper."""

from collections.abc import Sequence

from records.paper.bars import Chart, bars_drawing
from records.paper.drawing import svg
from records.paper.frames import BODY, SMALL, WIDTH, Heading, Parted, document, heading, paragraph, table

NOTICE = (
    "It tells what is on record, and is no leave to dig: for a permit each authorisation is asked for on the day and at the site."
    " Local law, the owners' rules and licensed practice come first."
)
PAGE_WIDTH, PAGE_SIZE = 400, 11


def cover_pdf(title: str, asked: str, made: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> bytes:
    """The people asked for, one a row, with every cell in words."""
    shares = (17, *(9.2 for _ in heads[1:]))
    body = table(heads, rows, shares, 6) if rows else paragraph("Nobody is like that.", BODY)
    return document([paragraph(title, 18, True), paragraph(asked, 10), body], Heading(title, f"As of {made}", False, NOTICE))


def ahead_svg(chart: Chart) -> str:
    return svg(bars_drawing(chart, PAGE_WIDTH, PAGE_SIZE))


def ahead_pdf(asked: str, made: str, chart: Chart, rows: Sequence[Sequence[str]]) -> bytes:
    """The chart of what lapses, and the same in words."""
    title = "What lapses in the next 90 days"
    drawn = [Parted(lambda part: bars_drawing(chart, WIDTH, SMALL, part), 0, len(chart.bars))] if chart.bars else []
    words = [table(("Who", "What", "How it stands"), rows, (30, 25, 45), SMALL)] if rows else [paragraph("Nothing lapses.", BODY)]
    return document([paragraph(title, 18, True), paragraph(asked, 10), *drawn, *heading("In words"), *words], Heading(title, f"As of {made}", False, NOTICE))
