"""Shapes as registers keep them: Well-Known Text in a metre grid, two-dimensional, plain decimals. Read strictly, written one way."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

import shapely
from shapely.validation import explain_validity

from records.rules.text import Unfit, shown

PLACES = 6
FARTHEST_M = 100_000
LONGEST_NUMBER = 4000  # characters of a coordinate: Python reads no longer ones
SMALLEST_OUTLINE_M2 = Decimal("0.01")
SQUARED = Decimal(10) ** (2 * PLACES)

LINESTRING, POLYGON, MULTIPOLYGON = "LINESTRING", "POLYGON", "MULTIPOLYGON"
DEPTH = {LINESTRING: 1, POLYGON: 2, MULTIPOLYGON: 3}  # how many brackets deep a point stands

_WORD = re.compile(r"\s*([A-Za-z]+)\s*(EMPTY\b)?", re.IGNORECASE | re.ASCII)
_TOKEN = re.compile(r"\s*([(),]|[^\s(),]+)", re.ASCII)
_NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+)?", re.ASCII)

Point = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Shape:
    """A read shape: its kind, its one written form, and its rings, each a sequence of points of canonical decimals."""

    kind: str
    text: str
    rings: tuple[tuple[Point, ...], ...]


def read(text: str, kinds: Sequence[str]) -> Shape:
    """Read a shape of one of the kinds. Raises Unfit for any other text, and for a shape that is empty, not valid, of no length or out of the grid."""
    word = _WORD.match(text)
    kind = word[1].upper() if word else ""
    if word is None or kind not in kinds:
        raise Unfit(f"{shown(text)} is not {' or '.join(kinds)}: that shape was expected, as Well-Known Text")
    if word[2]:
        raise Unfit(f"the {kind} is empty: a shape with points was expected")
    tokens = _TOKEN.findall(text, word.end())
    tree, after = _group(tokens, 0, DEPTH[kind])
    if after != len(tokens):
        raise Unfit(f"{shown(' '.join(tokens[after:]))} follows the {kind}: one shape and nothing after it was expected")
    shape = Shape(kind, f"{kind} {_written(tree)}", tuple(_rings(tree, DEPTH[kind])))
    _check(shape)
    return shape


def _group(tokens: list[str], at: int, depth: int) -> tuple[list, int]:
    """What stands in one pair of brackets, and where it ends."""
    at = _expect(tokens, at, "(")
    members = []
    while True:
        member, at = _point(tokens, at) if depth == 1 else _group(tokens, at, depth - 1)
        members.append(member)
        if at < len(tokens) and tokens[at] == ",":
            at += 1
            continue
        return members, _expect(tokens, at, ")")


def _expect(tokens: list[str], at: int, bracket: str) -> int:
    if at >= len(tokens):
        raise Unfit(f"the shape breaks off: {bracket!r} was expected")
    if tokens[at] != bracket:
        raise Unfit(f"{shown(tokens[at])} stands where {bracket!r} was expected")
    return at + 1


def _point(tokens: list[str], at: int) -> tuple[Point, int]:
    x, y = (coordinate(tokens[n] if n < len(tokens) else "") for n in (at, at + 1))
    if at + 2 < len(tokens) and tokens[at + 2] not in ",()":
        raise Unfit(f"{shown(' '.join(tokens[at : at + 3]))} has more than two numbers: points of x and y were expected")
    return (x, y), at + 2


def coordinate(token: str) -> str:
    """The number in its one written form. Raises Unfit for what is none, too fine or too far."""
    if len(token) > LONGEST_NUMBER or not _NUMBER.fullmatch(token):
        raise Unfit(f"{shown(token)} is not a plain decimal number: points of x and y in metres were expected")
    whole, _, part = token.partition(".")
    if len(part) > PLACES:
        raise Unfit(f"{shown(token)} has {len(part)} decimals: at most {PLACES} were expected")
    if abs(Decimal(token)) > FARTHEST_M:
        raise Unfit(f"{shown(token)} is out of the site's grid: within -{FARTHEST_M} to {FARTHEST_M} metres was expected")
    return plain(whole, part)


def plain(whole: str, part: str) -> str:
    """A decimal without needless zeros or the sign of zero, from its digits before and after the point."""
    sign = "-" if whole.startswith("-") else ""
    digits, part = whole.lstrip("-").lstrip("0") or "0", part.rstrip("0")
    text = f"{digits}.{part}" if part else digits
    return text if text == "0" else sign + text


def _written(tree: list | Point) -> str:
    return f"{tree[0]} {tree[1]}" if isinstance(tree, tuple) else "(" + ", ".join(map(_written, tree)) + ")"


def _rings(tree: list, depth: int) -> list[tuple[Point, ...]]:
    return [tuple(tree)] if depth == 1 else [ring for member in tree for ring in _rings(member, depth - 1)]


def _check(shape: Shape) -> None:
    if shape.kind == LINESTRING:
        if len(set(shape.rings[0])) < 2:
            raise Unfit("the LINESTRING has no length: two different points or more were expected")
        return
    for ring in shape.rings:
        if len(ring) < 4 or ring[0] != ring[-1]:
            raise Unfit("a ring is not closed: four points or more, the last one the same as the first, were expected")
    geometry = shapely.from_wkt(shape.text)
    if not geometry.is_valid:
        raise Unfit(f"the {shape.kind} is not valid ({explain_validity(geometry)}): one whose borders neither cross nor overlap was expected")


def read_outline(text: str) -> Shape:
    """Read a POLYGON without holes, of 0.01 m² or more. Raises Unfit otherwise."""
    shape = read(text, (POLYGON,))
    if len(shape.rings) > 1:
        raise Unfit("the outline has a hole: a POLYGON of one ring was expected")
    if area_m2(shape.rings[0]) < SMALLEST_OUTLINE_M2:
        raise Unfit(f"the outline is below {SMALLEST_OUTLINE_M2} m²: a larger one was expected")
    return shape


def area_m2(ring: Sequence[Point]) -> Decimal:
    """The area within a closed ring, reckoned exactly in whole millionths of a metre."""
    points = [(int(Decimal(x).scaleb(PLACES)), int(Decimal(y).scaleb(PLACES))) for x, y in ring]
    doubled = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairwise(points))
    return Decimal(abs(doubled)) / 2 / SQUARED
