"""Drawing by finger, mouse and keyboard: what the field then holds, what is said, and what can be undone."""

import re

import pytest

pytestmark = pytest.mark.browser
SQUARE = ((0.3, 0.3), (0.7, 0.3), (0.7, 0.7), (0.3, 0.7))
TENTH = re.compile(r"-?\d+(\.\d)?")


def held(stage, field="area"):
    return stage.page.locator(f"#{field}").input_value()


def corners(stage, field="area"):
    return [tuple(float(number) for number in one.split()) for one in held(stage, field).splitlines()]


@pytest.fixture
def sketch(stage):
    return stage.open("Ground swept")


def drawn(sketch):
    sketch.press("Draw")
    for spot in SQUARE:
        sketch.tap(*spot)


def test_a_finger_draws_corners_on_the_tenth_of_a_metre_into_the_field(stage, sketch):
    drawn(sketch)
    assert len(corners(stage)) == 4
    assert all(TENTH.fullmatch(number) for number in held(stage).split())
    assert sketch.measures.startswith("4 corners, ")


def test_nothing_is_drawn_before_drawing_begins_or_after_it_is_done(stage, sketch):
    sketch.tap(0.5, 0.5)
    drawn(sketch)
    sketch.press("Done drawing")
    sketch.tap(0.5, 0.5)
    assert len(corners(stage)) == 4


def test_a_drag_moves_the_sheet_and_draws_nothing(stage, sketch):
    sketch.press("Draw")
    finger(sketch, (0.5, 0.8), (0.5, 0.3))
    assert held(stage) == ""


def finger(sketch, start, end):
    """A finger's drag, as the browser itself takes it."""
    touches = sketch.page.context.new_cdp_session(sketch.page)
    (x, y), (to_x, to_y) = sketch.at(*start), sketch.at(*end)
    touches.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    for step in range(1, 11):
        touches.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": x + (to_x - x) * step / 10, "y": y + (to_y - y) * step / 10}]})
    touches.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


@pytest.mark.parametrize(("drawing", "scrolls"), [(False, True), (True, False)], ids=["looking", "drawing"])
def test_a_finger_on_the_ground_scrolls_the_page_unless_it_draws(stage, sketch, drawing, scrolls):
    if drawing:
        sketch.press("Draw")
    sketch.at(0.5, 0.5)
    before = stage.page.evaluate("scrollY")
    finger(sketch, (0.5, 0.9), (0.5, 0.3))
    stage.page.wait_for_timeout(200)
    assert (stage.page.evaluate("scrollY") != before) is scrolls


def test_the_wheel_scrolls_the_page_unless_it_is_drawn(stage_of):
    stage = stage_of(viewport={"width": 1280, "height": 700}, has_touch=False, is_mobile=False)
    sketch = stage.open("Ground swept")
    scale = sketch.node.locator(".sketch-scale")
    before = scale.inner_text()
    stage.page.mouse.move(*sketch.at(0.5, 0.5))
    stage.page.mouse.wheel(0, 300)
    stage.page.wait_for_function("() => scrollY > 100")
    assert scale.inner_text() == before
    sketch.press("Draw")
    stage.page.mouse.move(*sketch.at(0.5, 0.5))
    stage.page.mouse.wheel(0, 3000)
    stage.page.wait_for_function("before => document.querySelector('.sketch-scale').textContent !== before", arg=before)


def test_a_corner_is_caught_by_what_lies_there_unless_that_is_switched_off(stage, sketch):
    place = spot_of(stage, sketch, 100, 200)
    sketch.press("Draw")
    stage.page.touchscreen.tap(place[0] + 6, place[1] - 6)
    assert held(stage) == "100 200"
    assert "caught by" in sketch.says
    sketch.press("Undo")
    sketch.node.get_by_label("Snap to corners and lines").uncheck()
    stage.page.touchscreen.tap(place[0] + 6, place[1] - 6)
    assert held(stage) != "100 200"


def spot_of(stage, sketch, x, y):
    """Where a point of the grid is on the screen, found by drawing two points and measuring between them."""
    sketch.node.get_by_label("Snap to corners and lines").uncheck()
    sketch.press("Draw")
    sketch.tap(0.1, 0.1)
    sketch.tap(0.7, 0.75)
    (left, top), (right, bottom) = corners(stage)
    (from_x, from_y), (to_x, to_y) = sketch.at(0.1, 0.1), sketch.at(0.7, 0.75)
    sketch.press("Clear")
    sketch.press("Done drawing")
    sketch.node.get_by_label("Snap to corners and lines").check()
    return from_x + (x - left) / (right - left) * (to_x - from_x), from_y + (y - top) / (bottom - top) * (to_y - from_y)


def test_a_line_catches_a_point_between_its_ends(stage, sketch):
    sketch.press("Nearer")
    sketch.press("Nearer")
    place = spot_of(stage, sketch, 103.522, 202.8)
    sketch.press("Draw")
    stage.page.touchscreen.tap(place[0] - 7, place[1])
    (point,) = corners(stage)
    assert point[0] == pytest.approx(103.5 + (point[1] - 196) / 10.07 * 0.03, abs=0.001)
    assert "E electricity" in sketch.says


def test_without_the_grid_a_point_is_as_fine_as_a_millimetre(stage, sketch):
    sketch.node.get_by_label("Snap to 0.1 m").uncheck()
    drawn(sketch)
    assert any(not TENTH.fullmatch(number) for number in held(stage).split())
    assert all(re.fullmatch(r"-?\d+(\.\d{1,3})?", number) for number in held(stage).split())


def test_the_first_corner_tapped_again_closes_the_shape(stage, sketch):
    drawn(sketch)
    sketch.tap(*SQUARE[0])
    assert len(corners(stage)) == 4
    assert sketch.node.get_by_role("button", name="Draw", exact=True).is_visible()
    assert "closed" in sketch.says


def test_every_step_is_undone_and_done_again(stage, sketch):
    drawn(sketch)
    whole = held(stage)
    sketch.press("Delete the last")
    sketch.press("Clear")
    assert held(stage) == ""
    for count in (3, 4, 3, 2, 1, 0):
        sketch.press("Undo")
        assert len(corners(stage)) == count
    sketch.press_idle("Undo")
    assert "nothing to undo" in sketch.says
    for _ in range(4):
        sketch.press("Redo")
    assert held(stage) == whole


def test_a_corner_is_dragged_to_its_place_and_the_others_stay(stage, sketch):
    drawn(sketch)
    before = corners(stage)
    sketch.press("Move corners")
    finger(sketch, SQUARE[1], (0.9, 0.15))
    after = corners(stage)
    assert after[0] == before[0] and after[2:] == before[2:]
    assert after[1][0] > before[1][0] and after[1][1] > before[1][1]
    sketch.press("Undo")
    assert corners(stage) == before


def test_a_side_that_is_dragged_gets_a_corner(stage, sketch):
    drawn(sketch)
    sketch.press("Move corners")
    finger(sketch, (0.3, 0.5), (0.12, 0.55))
    assert len(corners(stage)) == 5


def test_a_finger_that_only_rests_on_a_corner_moves_nothing(stage, sketch):
    drawn(sketch)
    before = held(stage)
    sketch.press("Move corners")
    sketch.tap(*SQUARE[2])
    sketch.tap(0.3, 0.5)
    assert held(stage) == before


def test_the_keyboard_alone_draws_at_the_cross(stage, sketch):
    sketch.node.get_by_label("Snap to corners and lines").uncheck()
    sketch.ground.focus()
    keys = stage.page.keyboard
    keys.press("Enter")
    for way in ("ArrowLeft", "ArrowUp", "ArrowRight"):
        keys.press("Enter")
        keys.press(way)
    keys.press("Enter")
    assert len(corners(stage)) == 4
    keys.press("Control+z")
    assert len(corners(stage)) == 3
    keys.press("Control+Shift+z")
    assert len(corners(stage)) == 4
    keys.press("Escape")
    keys.press("Tab")
    assert not sketch.ground.evaluate("one => one === document.activeElement")


def test_the_point_at_the_cross_needs_no_aim(stage, sketch):
    sketch.press("Draw")
    sketch.press("Point at the cross")
    assert len(corners(stage)) == 1
    sketch.press("Point at the cross")
    assert "a point there already" in sketch.says
