"""Shapes as a person types them: points of the site's metre grid, one a line, for the Well-Known Text of the registers."""

import re

POINT = re.compile(r"\s*(-?[0-9]+(?:\.[0-9]+)?)[\s,;]+(-?[0-9]+(?:\.[0-9]+)?)\s*", re.ASCII)
PLAIN = re.compile(r"(POLYGON|LINESTRING) (?:\()?\(([^()]*)\)(?:\))?")


def points(text: str) -> list[str] | None:
    """`x y` a line, comma or blanks between; None for any other text."""
    found = [POINT.fullmatch(line) for line in text.strip().splitlines() if line.strip()]
    return None if None in found else [f"{one[1]} {one[2]}" for one in found]


def polygon(text: str) -> str:
    """Corners, one a line, as a POLYGON, closed where it is not; other text stays as it is, for the register's reader to judge."""
    corners = points(text)
    if not corners:
        return text
    ring = corners if corners[0] == corners[-1] else [*corners, corners[0]]
    return f"POLYGON (({', '.join(ring)}))"


def line(text: str) -> str:
    """Points, one a line, as a LINESTRING; other text stays as it is."""
    along = points(text)
    return f"LINESTRING ({', '.join(along)})" if along else text


def listed(shape: str) -> str:
    """The other way round: the points of a simple shape, one a line, the closing one left out; a shape of several rings stays as it is."""
    found = PLAIN.fullmatch(shape)
    if not found:
        return shape
    along = [one.strip() for one in found[2].split(",")]
    return "\n".join(along[:-1] if found[1] == "POLYGON" else along)
