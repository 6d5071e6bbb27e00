"""How the needed ground was swept, told for whoever draws the outline; and the outline that the swept ground has room for."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from locates.permits.rules.gate import assess
from locates.permits.rules.sweeping import Swept, of_outline
from locates.permits.sketch import sketch_svg, tells
from locates.rules.ground import NOWHERE, covers, grown, room_within, shared
from tests.rules.cast import OUTLINE, SWEPT
from tests.rules.changes import Change, with_permit, with_rule, with_sweep, without, without_locate
from tests.rules.table import About

GAP = tuple(with_sweep(f"W-passive_power-{bearing}", area=SWEPT.difference(box(2, 1, 4, 2))) for bearing in (0, 90))
ONE_WAY = (without("sweeps", "W-passive_radio-90"),)
LEAST = Decimal("0.01")


def swept(*changes: Change) -> Swept | None:
    row = About("", "").passes(*changes)
    return of_outline(row.evidence, row.at)


def lacking(*changes: Change) -> dict[str, tuple[float, float]]:
    return {one.technique: (round(one.left_out.area, 6), round(one.one_way.area, 6)) for one in swept(*changes).modes}


NEEDED = OUTLINE.buffer(1, quad_segs=32).area
CASES = [
    ((), (0, 0), (0, 0)),
    (GAP, (2, 0), (0, 0)),
    (ONE_WAY, (0, 0), (0, NEEDED)),
    ((*ONE_WAY, with_rule("two_directions", "no")), (0, 0), (0, 0)),
    ((without("sweeps", "W-passive_power-0", "W-passive_power-90"),), (NEEDED, 0), (0, 0)),
]


@pytest.mark.parametrize(("changes", "power", "radio"), CASES)
def test_it_tells_what_each_mode_left_out_and_what_it_swept_in_one_direction_only(changes, power, radio):
    found = lacking(*changes)
    assert found["passive_power"] == pytest.approx(power) and found["passive_radio"] == pytest.approx(radio)


@pytest.mark.parametrize("case", CASES)
def test_it_is_whole_just_where_the_gate_blocks_no_ground(case):
    row = About("", "").passes(*case[0])
    blocked = {one.code for one in assess(row.evidence, row.at).blocks} & {"locate.not_swept", "locate.one_direction"}
    assert of_outline(row.evidence, row.at).whole is not bool(blocked)


def test_without_a_locate_there_is_nothing_to_tell():
    assert swept(without_locate()) is None


# the room for an outline


def test_the_room_in_a_rectangle_is_the_rectangle_less_its_margin():
    assert swept().room.equals(box(-1, -1, 11, 5))
    assert swept(with_rule("sweep_margin_m", "0")).room.equals(SWEPT)


def test_the_room_is_where_every_mode_swept_in_two_directions():
    half = tuple(with_sweep(f"W-passive_radio-{bearing}", area=box(4, -2, 12, 6)) for bearing in (0, 90))
    assert swept(*half).room.equals(box(5, -1, 11, 5))
    assert swept(*half, with_sweep("W-passive_power-90", area=box(-2, -2, 9, 6))).room.equals(box(5, -1, 8, 5))
    assert swept(*ONE_WAY).room is None


def test_an_outline_put_in_the_room_is_blocked_by_no_ground():
    row = About("", "").passes(*GAP)
    room = of_outline(row.evidence, row.at).room
    moved = replace(row.evidence, permit=replace(row.evidence.permit, outline=room))
    assert room.equals(box(5, -1, 11, 5)) and of_outline(moved, row.at).whole


def test_of_two_rooms_the_larger_is_taken_and_of_one_with_holes_a_side_of_them():
    two = box(0, 0, 5, 5).union(box(20, 0, 30, 5))
    assert room_within(two, Decimal(1), LEAST).equals(box(21, 1, 29, 4))
    ring = box(0, 0, 20, 20).difference(box(9, 9, 11, 11))
    assert room_within(ring, Decimal(1), LEAST).equals(box(1, 1, 8, 19))
    assert room_within(ring.union(box(30, 0, 45, 19)), Decimal(1), LEAST).equals(box(31, 1, 44, 18))


@pytest.mark.parametrize("area", [NOWHERE, box(0, 0, 2, 9), box(0, 0, 2.05, 2.05)])
def test_ground_that_is_too_narrow_has_no_room(area):
    assert room_within(area, Decimal(1), LEAST) is None


corner = st.tuples(st.integers(0, 300), st.integers(0, 300)).map(lambda tenths: (tenths[0] / 10, tenths[1] / 10))


@given(st.lists(corner, min_size=3, max_size=9, unique=True), st.sampled_from(["0", "0.5", "1.0", "2.5"]))
def test_whatever_the_ground_its_room_is_covered_with_the_margin_around_it(corners, margin):
    area = Polygon(corners).buffer(0)
    room = room_within(area, Decimal(margin), LEAST)
    assert room is None or (room.is_valid and not room.interiors and room.area >= 0.01 and covers(area, grown(room, Decimal(margin))))


def test_what_is_shared_lies_in_each():
    assert shared([box(0, 0, 4, 4), box(2, 2, 6, 6), box(0, 3, 9, 9)]).equals(box(2, 3, 4, 4))


# in words and drawn


def test_the_sentences_give_each_lack_its_figure():
    assert "2.0 m² of the 71.1 m² of needed ground was not swept by passive power." in tells(swept(*GAP), outlined=True)
    assert "71.1 m² of it was swept by passive radio in one direction only." in tells(swept(*ONE_WAY), outlined=True)
    assert tells(swept(), outlined=True) == ["All of the needed ground, 71.1 m² with 1 m around the outline, was swept by passive power and by passive radio."]
    assert tells(swept(), outlined=False) == [
        "The ground swept in every mode has room for an outline of 72.0 m² with 1 m around it: x from -1.00 to 11.00, y from -1.00 to 5.00."
    ]


def test_what_is_too_little_for_a_figure_is_never_told_as_nothing():
    tiny = Polygon([(0, 0), (0.2, 0), (0.2, 0.2), (0, 0.2)])
    lean = with_permit(outline=tiny), with_rule("sweep_margin_m", "0"), *(with_sweep(f"W-passive_power-{b}", area=box(0.1, 0, 1, 1)) for b in (0, 90))
    assert tells(swept(*lean), outlined=True)[0].startswith("less than 0.1 m² of the less than 0.1 m²")


def test_the_sketch_draws_what_was_left_out_and_says_it_to_who_cannot_see_it():
    drawn = sketch_svg(swept(*GAP), OUTLINE)
    assert "NOT SWEPT: passive power" in drawn and "NOT SWEPT: passive radio" not in drawn
    assert "2.0 m² of the 71.1 m² of needed ground was not swept by passive power." in drawn
    assert "SWEPT IN ONE DIRECTION ONLY: passive radio" in sketch_svg(swept(*ONE_WAY), OUTLINE)
    assert "an outline has room in here" in sketch_svg(swept(), None) and "needed" not in sketch_svg(swept(), None)


def test_a_locate_without_a_passive_sweep_has_nothing_to_draw_before_there_is_an_outline():
    bare = swept(without("sweeps", *(f"W-passive_{one}-{bearing}" for one in ("power", "radio") for bearing in (0, 90))))
    assert sketch_svg(bare, None) == ""
    assert "No outline fits" in tells(bare, outlined=False)[0]
