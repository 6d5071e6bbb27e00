"""Shapes drawn on the site's own pages: in the books, while a permit is prepared, and in the guided locate."""

import pytest

from locates.surveys.models import Sweep, Trace
from tests.journeys.browsing import looks, page_of, violations
from tests.journeys.locating import SHEET, begun
from tests.sketch.conftest import PHONE, Sketch

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
TOO_WIDE = """() => [...document.querySelectorAll('.sketch-sheet *')]
  .filter((one) => one.getBoundingClientRect().right > document.documentElement.clientWidth).map((one) => one.className)"""
SQUARE = ((0.3, 0.3), (0.7, 0.3), (0.7, 0.7), (0.3, 0.7))


@pytest.fixture
def page(browser, live_server, scene):
    wrong = []
    with page_of(browser, live_server, wrong, "P-OPE", **PHONE) as page:
        page.set_default_timeout(10_000)
        yield page
    assert wrong == []


def opened(page, words, within=None):
    (within or page).get_by_text(words, exact=True).click()
    node = page.locator(".sketch-sheet[open]").last
    node.locator(".ol-viewport").wait_for()
    return Sketch(page, node)


def unfolded(page, name):
    """A step of the guide with all in it in sight but the sketches."""
    step = page.locator(f"#step-{name}")
    page.evaluate("() => document.querySelectorAll('details:not(.sketch-sheet)').forEach((fold) => { fold.open = true; })")
    return step


def drawn(sketch):
    sketch.press("Draw")
    for spot in SQUARE:
        sketch.tap(*spot)
    sketch.press("Done drawing")


def test_a_sweep_is_drawn_into_its_book(page, as_person):
    begun(as_person("P-OPE"))
    page.goto("/enter/sweeps/")
    page.get_by_label("Locate").select_option(index=1)
    page.get_by_label("Technique").select_option("induction")
    page.get_by_label("Begun so far from the transmitter, metres").fill("10")
    drawn(opened(page, "Draw: Ground swept"))
    assert list(looks(page)) == []
    page.get_by_role("button", name="Record it", exact=True).click()
    page.wait_for_url("**/records/sweeps/SW-*/")
    assert len(Sweep.objects.get(technique="induction", locate__finished_at=None).area.split(",")) == 5


def test_a_trial_hole_is_placed_in_its_book(page):
    page.goto("/enter/holes/")
    page.get_by_label("East, metres").fill("104.5")
    page.get_by_label("North, metres").fill("101")
    sketch = opened(page, "Draw the place")
    assert sketch.measures == "The point is at 104.5 east, 101 north."
    sketch.press("Draw")
    sketch.tap(0.2, 0.2)
    assert [page.locator(f"#id_{name}").input_value() for name in "xy"] != ["104.5", "101"]
    assert violations(page) == []


def test_an_outline_is_drawn_while_a_permit_is_prepared(browser, live_server, scene):
    wrong = []
    with page_of(browser, live_server, wrong, "P-ISS", **PHONE) as page:
        page.goto("/permits/PD-1/change/")
        sketch = opened(page, "Draw: Outline of the dig")
        assert sketch.measures.startswith("4 corners, ")
        sketch.type_point(99, 101)
        page.get_by_text("As it stands: ").wait_for()
        assert page.locator("#id_outline").input_value().endswith("99 101")
        assert list(looks(page)) == []
    assert wrong == []


def test_in_the_guided_locate_what_is_drawn_is_reckoned_and_recorded(page, as_person):
    begun(as_person("P-OPE"))
    page.goto(f"/field/{SHEET}/")
    step = unfolded(page, "passive_power")
    drawn(opened(page, "Draw the ground", step))
    step.locator(".ground-words", has_text="m²").wait_for()
    assert step.get_by_label("the ground drawn here").is_checked()
    assert (page.evaluate(TOO_WIDE), violations(page)) == ([], [])
    step.get_by_label("Bearing walked, degrees").fill("90")
    step.get_by_role("button", name="Swept as told").click()
    page.locator(".told.success").wait_for()
    assert Sweep.objects.filter(locate__finished_at=None, technique="passive_power").exists()


def test_a_line_of_the_guided_locate_is_caught_by_the_outline(page, as_person):
    begun(as_person("P-OPE"))
    page.goto(f"/field/{SHEET}/")
    step = unfolded(page, "traces")
    sketch = opened(page, "Draw the line", step)
    sketch.type_point(105, 96)
    sketch.type_point(10, 0, by="Put it so far away")
    step.locator(".ground-words", has_text="m").wait_for()
    assert "Outline of the dig: the dig" in sketch.node.locator(".sketch-fold").last.text_content()
    step.get_by_role("button", name="Record the line").click()
    page.locator(".told.success").wait_for()
    assert Trace.objects.filter(locate__finished_at=None, line="LINESTRING (105 96, 105 106)").exists()
