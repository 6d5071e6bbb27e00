"""A published water network, crossed by invented trenches: what the gate says of each is confirmed with exact fractions and no geometry library.

The network is ky4.inp of the PyPI package wntr (Revised BSD licence), an open model with the bends and diameters of some 1,150 pipes, in feet and inches.
Only that file is read; the package is not imported.
"""

from fractions import Fraction
from functools import cache
from importlib.util import find_spec
from itertools import pairwise
from math import cos, radians, sin, sqrt
from pathlib import Path

import pytest
from shapely.geometry import LineString, Polygon

from tests.outside.dig import dug, nearness, traced

FOOT_M = 0.3048  # exact: the international foot
ORIGIN_FT = (4_950_000.0, 3_890_000.0)
TRENCHES = range(0, 1100, 9)  # each dug across the pipe of that number
REACH_M = 0.8  # half a metre, and quality level B
Point = tuple[float, float]


def section(name: str) -> list[list[str]]:
    text = (Path(find_spec("wntr").origin).parent / "library" / "networks" / "ky4.inp").read_text()
    lines = text.split(f"[{name}]")[1].split("\n[")[0].splitlines()
    return [line.split() for line in lines if line.strip() and not line.startswith(";")]


@cache
def pipes() -> dict[str, tuple[Point, ...]]:
    """Each pipe's bends in metres from a corner of the network; pipes drawn without length are left out."""
    nodes = {name: metres(x, y) for name, x, y in section("COORDINATES")}
    bends: dict[str, list[Point]] = {}
    for pipe, x, y in section("VERTICES"):
        bends.setdefault(pipe, []).append(metres(x, y))
    drawn = {row[0]: (nodes[row[1]], *bends.get(row[0], []), nodes[row[2]]) for row in section("PIPES")}
    return {name: line for name, line in drawn.items() if len(set(line)) > 1}


def metres(x: str, y: str) -> Point:
    return ((float(x) - ORIGIN_FT[0]) * FOOT_M, (float(y) - ORIGIN_FT[1]) * FOOT_M)


def trench(number: int) -> list[Point]:
    """A trench 0.6 m wide near the middle of a pipe, its angle, length and offset told by the number alone."""
    line = list(pipes().values())[number]
    middle = len(line) // 2
    x, y = ((line[middle - 1][axis] + line[middle][axis]) / 2 + (number % 7 - 3) * 0.8 for axis in (0, 1))
    angle, along, across = radians(number * 37 % 180), 1 + number % 4 * number % 23, 0.3
    turned = [
        (a * cos(angle) - b * sin(angle), a * sin(angle) + b * cos(angle)) for a, b in ((-along, -across), (along, -across), (along, across), (-along, across))
    ]
    return [(x + dx, y + dy) for dx, dy in turned]


@cache
def said(number: int) -> dict[str, float]:
    """The gate's word: each pipe that the trench comes near to, and how near."""
    traces = [traced(name, LineString(line), None) for name, line in pipes().items()]
    return {name: one.distance_m for name, one in nearness(dug(Polygon(trench(number)), traces)).items()}


@cache
def reckoned(number: int) -> dict[str, Fraction]:
    """The square of the exact distance from the trench to each pipe within some metres of it, 0 where they meet."""
    corners = trench(number)
    lines = {name: line for name, line in pipes().items() if boxes_near(corners, line)}
    return {name: squared_distance([exact(one) for one in corners], [exact(one) for one in line]) for name, line in lines.items()}


def boxes_near(one: list[Point], other: tuple[Point, ...]) -> bool:
    return all(min(p[axis] for p in a) - 5 < max(p[axis] for p in b) for axis in (0, 1) for a, b in ((one, other), (other, one)))


def exact(point: Point) -> tuple[Fraction, Fraction]:
    return (Fraction(point[0]), Fraction(point[1]))


def squared_distance(corners: list, line: list) -> Fraction:
    """Between a four-cornered outline and a line, both of exact points."""
    sides = [*pairwise(corners), (corners[-1], corners[0])]
    legs = list(pairwise(line))
    if inside(line[0], sides) or any(crossing(side, leg) for side in sides for leg in legs):
        return Fraction(0)
    return min(min(to_segment(end, other) for end in one) for side in sides for leg in legs for one, other in ((side, leg), (leg, side)))


def turn(a: tuple, b: tuple, c: tuple) -> Fraction:
    """Twice the signed area of the triangle: above 0 where it turns left."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def inside(point: tuple, sides: list) -> bool:
    return all(turn(*side, point) >= 0 for side in sides) or all(turn(*side, point) <= 0 for side in sides)


def crossing(one: tuple, other: tuple) -> bool:
    """Do two segments properly cross? Those that only touch are at distance 0 by their ends."""
    return turn(*one, other[0]) * turn(*one, other[1]) < 0 and turn(*other, one[0]) * turn(*other, one[1]) < 0


def to_segment(point: tuple, segment: tuple) -> Fraction:
    (x, y), ((x1, y1), (x2, y2)) = point, segment
    length = (x2 - x1) ** 2 + (y2 - y1) ** 2
    along = min(Fraction(1), max(Fraction(0), ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / length)) if length else Fraction(0)
    return (x - x1 - along * (x2 - x1)) ** 2 + (y - y1 - along * (y2 - y1)) ** 2


def test_the_network_is_the_published_one() -> None:
    assert len(section("PIPES")) == 1156
    assert len(pipes()) > 1100


@pytest.mark.parametrize("number", TRENCHES)
def test_the_gate_finds_just_the_pipes_that_the_trench_crosses(number: int) -> None:
    found = {name for name, distance in said(number).items() if distance == 0}
    assert found == {name for name, squared in reckoned(number).items() if squared == 0}


@pytest.mark.parametrize("number", TRENCHES)
def test_pipes_beside_the_trench_are_as_far_as_reckoned(number: int) -> None:
    distances = {name: sqrt(reckoned(number)[name]) for name in said(number)}
    assert said(number) == pytest.approx(distances, abs=1e-6)
    assert all(distance < REACH_M for distance in distances.values())


@pytest.mark.parametrize("number", TRENCHES)
def test_no_pipe_well_within_reach_is_passed_over(number: int) -> None:
    assert {name for name, squared in reckoned(number).items() if squared < Fraction(REACH_M - 0.1) ** 2} <= set(said(number))


def test_the_trenches_cross_many_pipes_and_pass_others_by() -> None:
    """So that the tests above are about something."""
    distances = [distance for number in TRENCHES for distance in said(number).values()]
    assert distances.count(0) >= 80
    assert sum(distance > 0 for distance in distances) >= 15
