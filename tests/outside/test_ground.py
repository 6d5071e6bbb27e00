"""Coverage, zones and areas against closed forms, a second geometry library (pyclipper, MIT) and plain counting of points."""

from decimal import Decimal
from itertools import pairwise
from math import hypot, pi, sin

import pyclipper
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon, box

from locates.permits.rules.gate import assess
from locates.rules.ground import covers, crossed, edge_distance, grown, length_within, line_covered, overlap
from tests.outside.dig import AT, dug, nearness, traced

# A circle drawn with 32 segments to the quarter: 128 triangles from its middle, each of two sides r at an angle of 2π/128.
ROUND = 64 * sin(2 * pi / 128)
SCALE = 1_000_000  # the second library counts in whole numbers: micrometres

metres = st.integers(1, 400).map(lambda tenths: tenths / 10)
place = st.integers(-300, 300).map(lambda tenths: tenths / 10)


def clipper_path(points: list[tuple[float, float]]) -> list[tuple[int, int]]:
    return [(round(x * SCALE), round(y * SCALE)) for x, y in points]


def clipper_area(subject: list, clip: list, how: int) -> float:
    """Square metres of subject and clip put together by the second library."""
    work = pyclipper.Pyclipper()
    work.AddPaths(subject, pyclipper.PT_SUBJECT, True)
    work.AddPaths(clip, pyclipper.PT_CLIP, True)
    return abs(sum(pyclipper.Area(path) for path in work.Execute(how, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO))) / SCALE**2


def clipper_strip(points: list[tuple[float, float]], by_m: float) -> list:
    """The round-ended strip around a line, drawn by the second library to within a tenth of a millimetre of a true arc."""
    offset = pyclipper.PyclipperOffset(arc_tolerance=SCALE / 10_000)
    offset.AddPath(clipper_path(points), pyclipper.JT_ROUND, pyclipper.ET_OPENROUND)
    return offset.Execute(by_m * SCALE)


@pytest.mark.parametrize(("wide", "high", "margin"), [(10, 4, "1.0"), (0.6, 120, "0.5"), (3, 3, "10")])
def test_a_rectangle_grown_is_the_rectangle_its_four_sides_and_a_round(wide: float, high: float, margin: str) -> None:
    r = float(margin)
    assert grown(box(0, 0, wide, high), Decimal(margin)).area == pytest.approx(wide * high + 2 * (wide + high) * r + ROUND * r * r)


@pytest.mark.parametrize("end", [(30, 0), (3, 4), (-7, 24), (0.2, -0.1)])
@pytest.mark.parametrize("radius", ["0.5", "0.855", "2.55"])
def test_a_line_grown_is_a_strip_with_round_ends(end: tuple[float, float], radius: str) -> None:
    r = float(radius)
    assert grown(LineString([(0, 0), end]), Decimal(radius)).area == pytest.approx(2 * r * hypot(*end) + ROUND * r * r)


def test_the_round_is_within_half_a_thousandth_of_a_true_circle() -> None:
    """What drawing with 32 segments to a quarter costs, so that the tolerances below are known to be fair."""
    assert 0 < 1 - ROUND / pi < 0.0005


def test_zones_that_overlap_are_counted_once() -> None:
    """Two services 1 m apart under a trench 10 m long and 2 m wide: zones 1.6 m wide across it, 0.6 m of it shared."""
    traces = [traced("T-1", LineString([(4, -5), (4, 5)]), None), traced("T-2", LineString([(5, -5), (5, 5)]), None)]
    verdict = assess(dug(box(0, 0, 10, 2), traces, depth_m="1.5"), AT)
    assert [one.area_m2 for one in verdict.conditions] == pytest.approx([1.6 * 2, 1.6 * 2])
    assert (verdict.hand_area_m2, verdict.hand_volume_m3) == pytest.approx((2.6 * 2, 2.6 * 2 * 1.5))


def test_ground_in_two_crossing_sweeps_is_the_ground_they_share() -> None:
    """0° and 90° cross, 0° and 45° do not; the third sweep shares 4 × 6 m with the second at 90° - 20° = 70°."""
    sweeps = [(Decimal(0), box(0, 0, 6, 10)), (Decimal(90), box(2, 0, 12, 10)), (Decimal(20), box(8, 4, 20, 10)), (Decimal(45), box(-9, -9, 30, 30))]
    assert crossed(sweeps).area == pytest.approx(4 * 10 + 4 * 6)


@pytest.mark.parametrize(("left_out_m", "covered"), [(0.0049, True), (0.005, True), (0.0051, False)])
def test_ground_of_10_by_10_may_lack_a_20th_of_a_square_metre(left_out_m: float, covered: bool) -> None:
    assert covers(box(0, 0, 10, 10 - left_out_m), box(0, 0, 10, 10)) is covered


@pytest.mark.parametrize(("left_out", "covered"), [(0.0999, True), (0.1, True), (0.1001, False)])
def test_small_ground_may_lack_a_tenth(left_out: float, covered: bool) -> None:
    assert covers(box(0, 0, 0.4, 0.4 * (1 - left_out)), box(0, 0, 0.4, 0.4)) is covered


@given(st.tuples(place, place, metres, metres), st.tuples(place, place, metres, metres))
def test_what_is_left_out_is_what_the_second_library_leaves_out(ground: tuple, area: tuple) -> None:
    grown_ground, swept = (box(x, y, x + wide, y + high) for x, y, wide, high in (ground, area))
    left_out = clipper_area(*([clipper_path(shape.exterior.coords[:-1])] for shape in (grown_ground, swept)), pyclipper.CT_DIFFERENCE)
    assert covers(swept, grown_ground) is (round(left_out, 6) <= min(0.05, round(grown_ground.area / 10, 6)))


@given(st.tuples(place, place), st.tuples(place, place), st.tuples(place, place), st.integers(5, 40))
def test_a_zone_s_part_in_a_triangle_agrees_with_the_second_library(start: tuple, middle: tuple, end: tuple, radius_dm: int) -> None:
    line, outline = [start, middle, end], Polygon([(0, 0), (17, 3), (5, 12)])
    assume(len(set(line)) > 1)
    shared = overlap(outline, grown(LineString(line), Decimal(radius_dm) / 10))
    theirs = clipper_area([clipper_path(outline.exterior.coords[:-1])], clipper_strip(line, radius_dm / 10), pyclipper.CT_INTERSECTION)
    assert (shared.area if shared else 0) == pytest.approx(theirs, rel=0.001, abs=0.012)


@pytest.mark.parametrize("radius", [0.8, 1.6, 3.0])
def test_a_zone_s_part_agrees_with_counted_points(radius: float) -> None:
    """Points 2 cm apart, each counted by its own distance to the bent line: no geometry library at all."""
    bends, step = [(-2.0, 1.0), (4.0, 3.0), (5.0, 9.0)], 0.02
    points = [((column + 0.5) * step, (row + 0.5) * step) for column in range(400) for row in range(300)]
    counted = sum(min(from_segment(point, *ends) for ends in pairwise(bends)) <= radius for point in points) * step * step
    shared = overlap(box(0, 0, 8, 6), grown(LineString(bends), Decimal(str(radius))))
    assert shared.area == pytest.approx(counted, rel=0.003)


def from_segment(point: tuple[float, float], start: tuple[float, float], end: tuple[float, float]) -> float:
    (x, y), (x1, y1), (x2, y2) = point, start, end
    along = ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / ((x2 - x1) ** 2 + (y2 - y1) ** 2)
    held = min(1.0, max(0.0, along))
    return hypot(x - x1 - held * (x2 - x1), y - y1 - held * (y2 - y1))


def test_the_distance_is_from_the_outline_to_the_service_s_edge() -> None:
    """A 3-4-5 triangle: the line's nearest point is 3 m east and 4 m north of the corner, and half of 0.5 m wide."""
    assert edge_distance(box(0, 0, 2, 2), LineString([(5, 6), (50, 60)]), Decimal("0.5")) == pytest.approx(4.75)
    assert edge_distance(box(0, 0, 2, 2), LineString([(2.1, -9), (2.1, 9)]), Decimal("0.5")) == 0


def test_the_length_in_the_ground_is_what_lies_between_its_borders() -> None:
    """Through a square of 10 m along the 3-4-5 slope, from (0, 1) to (10, …): 10 m of x is 12.5 m of line, cut at y = 10 to 11.25 m."""
    line = LineString([(-30, 1 - 30 * 4 / 3), (30, 1 + 30 * 4 / 3)])
    assert length_within(line, box(0, 0, 10, 10)) == Decimal("11.25")


@pytest.mark.parametrize(("swept_to", "covered"), [(9.5, True), (9.499, False)])
def test_half_a_metre_of_a_long_line_may_stay_unswept(swept_to: float, covered: bool) -> None:
    assert line_covered(LineString([(-5, 1), (15, 1)]), box(0, 0, 10, 2), box(-9, -9, swept_to, 9)) is covered


def test_the_gate_tells_the_closed_form() -> None:
    """A pipe of 110 mm crosses a trench 0.6 m wide at right angles: 0.6 m × (0.11 + 2 × (0.5 + 0.3)) m of it is dug by hand."""
    near = nearness(dug(box(0, 0, 0.6, 30), [traced("T-1", LineString([(-9, 12), (9, 12)]), Decimal("0.110"))], depth_m="1.0"))["T-1"]
    assert (near.distance_m, near.area_m2, near.volume_m3) == pytest.approx((0, 0.6 * 1.71, 0.6 * 1.71))
