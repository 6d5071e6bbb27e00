"""The half width of a hand-dig zone: half the service's outside diameter and the buffer from its edge, with published examples in inches and millimetres."""

from decimal import Decimal

import pytest
from shapely.geometry import LineString, box

from locates.permits.rules.clearance import zone
from locates.permits.rules.frame import framed
from tests.outside.dig import AT, dug, nearness, traced

INCH_M = Decimal("0.0254")  # exact: the international yard and pound agreement of 1959
MM_M = Decimal("0.001")

# (outside diameter, buffer, unit in metres, whole width in that unit, whole width in mm)
ZONES = [
    # Indiana's two feet each side, as a rural electric co-operative explains it: from a line marked 6 in wide, 2 ft 3 in from its middle
    ("6", "24", INCH_M, "54", "1371.6"),
    # 24 in from the outside edges: the tolerance zone of Florida's one-call centre; the sums are arithmetic
    ("24", "24", INCH_M, "72", "1828.8"),
    # The facility's width and 18 in on each side: the glossary of the Common Ground Alliance's best practices (from memory); the sums are arithmetic
    ("24", "18", INCH_M, "60", "1524.0"),
    ("12", "18", INCH_M, "48", "1219.2"),
    ("2", "18", INCH_M, "38", "965.2"),
    # 500 mm from the edge: HSG47 (a trade handbook's figure); the sum is arithmetic
    ("110", "500", MM_M, "1110", "1110"),
]
AWAY = box(0, 50, 1, 51)
ALONG_X = LineString([(-20, 0), (20, 0)])


@pytest.mark.parametrize(("diameter", "buffer", "unit", "width", "width_mm"), ZONES)
def test_the_gates_zone_is_as_wide_as_published(diameter: str, buffer: str, unit: Decimal, width: str, width_mm: str) -> None:
    evidence = dug(AWAY, [traced("T-1", ALONG_X, Decimal(diameter) * unit)], hand_dig_m=str(Decimal(buffer) * unit), position_tolerance_B_m="0")
    _, south, _, north = zone(framed(evidence, AT), evidence.locate.traces[0]).bounds
    assert [north - south, (north - south) * 1000] == [pytest.approx(float(Decimal(width) * unit)), pytest.approx(float(width_mm))]


@pytest.mark.parametrize(("diameter", "buffer", "unit", "width", "width_mm"), ZONES)
@pytest.mark.parametrize(("beyond_m", "said"), [("-0.01", {"T-1"}), ("0.001", set())])
def test_a_dig_is_near_within_that_width_and_not_beyond(
    diameter: str, buffer: str, unit: Decimal, width: str, width_mm: str, beyond_m: str, said: set[str]
) -> None:
    edge = float(Decimal(width) * unit / 2 + Decimal(beyond_m))
    evidence = dug(
        box(-5, edge, 5, edge + 1), [traced("T-1", ALONG_X, Decimal(diameter) * unit)], hand_dig_m=str(Decimal(buffer) * unit), position_tolerance_B_m="0"
    )
    assert set(nearness(evidence)) == said


@pytest.mark.parametrize(("level", "tolerance_m"), [("A", "0.05"), ("B", "0.3"), ("C", "1.0"), ("D", "2.0")])
def test_the_tolerance_of_the_quality_level_is_added(level: str, tolerance_m: str) -> None:
    """A and B: AS 5488.1 (A from memory, B from a secondary page); C and D are house numbers, common practice, no published source."""
    evidence = dug(AWAY, [traced("T-1", ALONG_X, None, level)])
    assert zone(framed(evidence, AT), evidence.locate.traces[0]).bounds[3] == pytest.approx(0.5 + float(tolerance_m))
