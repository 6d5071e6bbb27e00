"""The field and the sketch in step: what is typed is drawn, what is drawn is typed, by numbers too; and shapes of every kind."""

import pytest

pytestmark = pytest.mark.browser


def held(stage, field):
    return stage.page.locator(f"#{field}").input_value()


@pytest.fixture
def desk(stage_of):
    return stage_of(viewport={"width": 1280, "height": 900}, has_touch=False, is_mobile=False)


def test_what_is_typed_in_the_field_is_drawn_and_measured(desk):
    sketch = desk.open("Ground swept")
    desk.page.locator("#area").fill("100 100\n104 100\n104 103")
    assert sketch.measures == "3 corners, 12.00 m round, 6.00 m² as drawn."
    assert sketch.node.locator(".sketch-points li").count() == 4


def test_what_cannot_be_read_is_said_with_its_line_and_kept(desk):
    sketch = desk.open("Ground swept")
    desk.page.locator("#area").fill("100 100\n104 east")
    assert sketch.measures.startswith("Line 2 cannot be read yet")
    assert held(desk, "area") == "100 100\n104 east"


@pytest.mark.parametrize(
    ("text", "count"), [("POLYGON ((0 0, 4 0, 4 3, 0 0))", 3), ("0,0\n4;0\n4 3\n0 0", 3), ("polygon((0 0,4 0,4 3,0 0))", 3), ("0 0\n4 0", 2)]
)
def test_a_simple_shape_is_read_in_any_of_its_forms(desk, text, count):
    sketch = desk.open("Ground swept")
    desk.page.locator("#area").fill(text)
    assert sketch.measures.startswith(f"{count} corners")


def test_a_shape_of_several_parts_stays_text_until_it_is_cleared(desk):
    shape = "MULTIPOLYGON (((0 0, 4 0, 4 3, 0 0)), ((10 10, 14 10, 14 13, 10 10)))"
    desk.page.locator("#area").fill(shape)
    sketch = desk.open("Ground swept")
    sketch.press_idle("Draw")
    assert "clear it first" in sketch.says
    sketch.type_point(1, 2)
    assert held(desk, "area") == shape
    sketch.press("Clear")
    sketch.type_point(1, 2)
    assert held(desk, "area") == "1 2"


def test_points_are_typed_by_east_and_north_or_by_length_and_bearing(desk):
    sketch = desk.open("Line")
    sketch.type_point(10, 20.5)
    sketch.type_point(5, 90, by="Put it so far away")
    sketch.type_point(2.5, 180, by="Put it so far away")
    assert held(desk, "line") == "10 20.5\n15 20.5\n15 18"
    assert sketch.measures == "3 points, 7.50 m long as drawn."


def test_a_number_that_is_none_is_said_at_its_field_and_puts_nothing(desk):
    sketch = desk.open("Line")
    sketch.type_point("12,5", 3)
    field = sketch.node.get_by_label("East, metres")
    assert field.get_attribute("aria-invalid") == "true"
    assert desk.page.locator(f"#{field.get_attribute('aria-describedby')}").inner_text() == "A plain number was expected, such as 12.5."
    assert held(desk, "line") == ""


def test_a_length_from_the_last_point_needs_a_last_point(desk):
    sketch = desk.open("Line")
    sketch.type_point(5, 90, by="Put it so far away")
    assert "There is no last point yet" in sketch.node.get_by_role("alert").inner_text()


def test_a_point_beyond_the_grid_is_refused(desk):
    sketch = desk.open("Line")
    sketch.type_point(100001, 0)
    assert held(desk, "line") == ""


def test_the_enter_key_puts_the_point_and_does_not_hand_the_form_in(desk):
    sketch = desk.open("Line")
    sketch.node.get_by_label("East, metres").fill("7")
    sketch.node.get_by_label("North, metres").fill("8")
    sketch.node.get_by_label("North, metres").press("Enter")
    assert held(desk, "line") == "7 8"
    assert desk.page.url.endswith("/")


def test_a_point_of_the_list_is_removed_and_the_keyboard_stays_there(desk):
    desk.page.locator("#line").fill("0 0\n4 0\n4 3")
    sketch = desk.open("Line")
    sketch.node.locator(".sketch-fold summary").first.click()
    assert "3.00 m at 0° from the one before" in sketch.node.locator(".sketch-points").inner_text()
    sketch.press("Remove point 2")
    assert held(desk, "line") == "0 0\n4 3"
    assert desk.page.evaluate("document.activeElement.getAttribute('aria-label')") == "Remove point 2"


def test_typing_can_be_undone_too(desk):
    desk.page.locator("#line").fill("0 0\n4 0")
    sketch = desk.open("Line")
    desk.page.locator("#line").fill("9 9")
    sketch.press("Undo")
    assert held(desk, "line") == "0 0\n4 0"


def test_a_point_goes_into_two_fields_and_a_second_one_takes_its_place(desk):
    sketch = desk.open("Hole, east")
    sketch.press("Draw")
    desk.page.mouse.click(*sketch.at(0.4, 0.4))
    first = held(desk, "x"), held(desk, "y")
    desk.page.mouse.click(*sketch.at(0.1, 0.8))
    assert all(first) and (held(desk, "x"), held(desk, "y")) != first
    sketch.press("Undo")
    assert (held(desk, "x"), held(desk, "y")) == first
    desk.page.locator("#x").fill("104.5")
    assert sketch.measures.startswith("The point is at 104.5 east")


def test_with_a_width_an_area_is_a_trench_along_a_line(desk):
    desk.page.locator("#trench").fill("0 0\n10 0\n10 5")
    sketch = desk.open("Trench")
    assert sketch.measures == "3 corners, 26.18 m round, 25.00 m² as drawn."
    desk.page.locator("#width").fill("0.6")
    assert sketch.measures == "3 points, 15.00 m long as drawn."


def test_a_shape_that_the_server_offers_is_taken_into_its_field(desk):
    sketch = desk.open("Line")
    desk.page.get_by_role("button", name="Use the line of the file").click()
    assert held(desk, "line") == "1 2\n3 4"
    assert sketch.measures == "2 points, 2.83 m long as drawn."
