"""The shapes behind a verdict, for drawing: the same ground that the gate judges by."""

import pytest
from shapely.geometry import box

from locates.permits.rules.gate import Ground, ground
from tests.rules.cast import OUTLINE, SWEPT, line
from tests.rules.changes import Change, and_sweep, and_trace, with_permit, with_rule, with_sweep, without, without_locate
from tests.rules.table import About, judged


def drawn(*changes: Change) -> Ground:
    row = About("", "").passes(*changes)
    return ground(row.evidence, row.at)


def test_the_needed_ground_is_the_outline_and_its_margin() -> None:
    assert drawn().needed.equals(OUTLINE.buffer(1, quad_segs=32))
    assert drawn(with_rule("sweep_margin_m", "0")).needed.equals(OUTLINE)


def test_what_was_swept_is_drawn_for_each_technique_together() -> None:
    swept = drawn(with_sweep("W-induction", area=box(-2, -2, 3, 6)), and_sweep("W-9", "induction", area=box(3, -2, 12, 6))).swept
    assert list(swept) == ["passive_power", "passive_radio", "induction"]
    assert all(area.equals(SWEPT) for area in swept.values())


LEFT = [
    ((), 0.0),
    ((with_sweep("W-passive_power-90", area=OUTLINE),), 0.0),
    (tuple(with_sweep(f"W-passive_power-{bearing}", area=SWEPT.difference(box(2, 1, 4, 2))) for bearing in (0, 90)), 2.0),
    ((without("sweeps", "W-passive_power-0", "W-passive_power-90"),), OUTLINE.buffer(1, quad_segs=32).area),
]


@pytest.mark.parametrize(("changes", "area"), LEFT)
def test_needed_ground_that_a_passive_technique_left_out_is_drawn(changes: tuple[Change, ...], area: float) -> None:
    unswept = drawn(*changes).unswept
    assert {technique: left.area for technique, left in unswept.items()} == pytest.approx({"passive_power": area, "passive_radio": 0})


def test_zones_are_drawn_of_what_the_dig_comes_near_to() -> None:
    changes = and_trace("T-8", "clamp", line((-20, 6.5), (20, 6.5))), and_trace("T-9", "clamp", line((-20, 5), (20, 5)))
    shapes, conditions = drawn(*changes), {one.subject: one.area_m2 for one in judged(*changes).conditions}
    assert set(shapes.zones) == {"T-1", "T-2", "T-9"}
    assert {f"trace:{trace}": shared.area for trace, shared in shapes.overlaps.items()} == pytest.approx(conditions)


def test_without_a_locate_only_the_needed_ground_is_drawn() -> None:
    shapes = drawn(without_locate(), with_permit(method="bore"))
    assert (shapes.swept, shapes.unswept, shapes.zones, shapes.overlaps) == ({}, {}, {}, {})
