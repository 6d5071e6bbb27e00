"""How the sketch looks: at a phone's and a desk's width, in every light, without JavaScript, printed."""

import pytest

from tests.journeys.browsing import AXE, LIGHTS, violations

pytestmark = pytest.mark.browser
INK = """() => {
  const pen = new OffscreenCanvas(4, 4).getContext('2d', { willReadFrequently: true });
  pen.drawImage(document.querySelector('.sketch-paper canvas'), 0, 0);
  return [...pen.getImageData(2, 2, 1, 1).data];
}"""
PAPERS = {"light": [252, 249, 240, 255], "dark": [21, 26, 34, 255], "sunlight": [255, 255, 255, 255]}


@pytest.mark.parametrize("width", [320, 1280])
def test_the_rules_find_nothing_and_nothing_scrolls_sideways(stage_of, width):
    stage = stage_of(viewport={"width": width, "height": 800})
    stage.page.locator("#area").fill("100 100\n104 100\n104 103")
    for label in ("Ground swept", "Line", "Hole, east"):
        sketch = stage.open(label)
    stage.page.evaluate("() => { document.querySelectorAll('.sketch-fold').forEach((one) => { one.open = true; }); }")
    sketch.press("Draw")
    assert not stage.page.evaluate("() => document.documentElement.scrollWidth > document.documentElement.clientWidth")
    stage.page.evaluate(AXE)
    for light, asked in LIGHTS.items():
        stage.page.evaluate("light => { document.documentElement.dataset.light = light; }", light)
        assert (light, violations(stage.page, asked)) == (light, [])


def test_the_sheet_takes_the_light_that_is_chosen(stage):
    stage.open("Line")
    seen = {}
    for light in PAPERS:
        stage.page.evaluate("light => { document.documentElement.dataset.light = light; }", light)
        stage.page.wait_for_timeout(150)
        seen[light] = stage.page.evaluate(INK)
    assert seen == PAPERS


def test_without_javascript_the_field_serves(stage_of):
    stage = stage_of(java_script_enabled=False)
    assert stage.page.locator("#area").is_visible()
    assert stage.page.locator("[data-sketch]").all_inner_texts() == [""] * 4


def test_it_is_not_printed(stage):
    sketch = stage.open("Line")
    stage.page.emulate_media(media="print")
    assert not sketch.ground.is_visible()
    stage.page.emulate_media(media="screen")


def test_every_button_is_large_enough_for_a_thumb(stage):
    sketch = stage.open("Ground swept")
    sketch.press("Draw")
    boxes = [one.bounding_box() for one in sketch.node.locator(".sketch-acts button:visible, .sketch-zoom button").all()]
    assert len(boxes) == 11
    assert [box for box in boxes if box["height"] < 44 or box["width"] < 44] == []
