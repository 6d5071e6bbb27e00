"""A drawn square that phones read (ISO/IEC 18004), as SVG for a page and as a drawing for paper: on both it is one path."""

import segno

from records.paper.drawing import INK, Area, Drawing, box

QUIET = 4  # modules of white about it, which readers need
Run = tuple[int, int, int]


def _runs(text: str) -> tuple[int, list[Run]]:
    """The modules on a side, the white among them, and the black ones row by row from the top: where each run of them begins, and how long it is."""
    rows = segno.make(text, error="m", micro=False, boost_error=False).matrix
    runs = [(x + QUIET, y + QUIET, long) for y, row in enumerate(rows) for x, long in _of_row(row)]
    return len(rows) + 2 * QUIET, runs


def _of_row(row: bytes) -> list[tuple[int, int]]:
    found, start = [], None
    for x, dark in enumerate([*row, 0]):
        if dark and start is None:
            start = x
        elif not dark and start is not None:
            found.append((start, x - start))
            start = None
    return found


def square_svg(text: str) -> str:
    """The square for the text: black modules on white, with a word for who cannot see it."""
    whole, runs = _runs(text)
    path = "".join(f"M{x} {y}h{long}v1h-{long}z" for x, y, long in runs)
    told = 'role="img" aria-label="A square for your phone to read" shape-rendering="crispEdges"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {told} viewBox="0 0 {whole} {whole}">'
        f'<rect width="{whole}" height="{whole}" fill="#fff"/><path d="{path}" fill="#000"/></svg>'
    )


def square_drawing(text: str, side: float) -> Drawing:
    """The square for the text, `side` points wide with its white margin."""
    whole, runs = _runs(text)
    size = side / whole
    rings = tuple(box(x * size, (whole - y - 1) * size, long * size, size) for x, y, long in runs)
    return Drawing(side, side, (Area(rings, INK, None),), f"A square for a phone to read: {text}")
