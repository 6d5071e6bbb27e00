"""A page with sketches, served from files alone: the harness, the static files, and answers as the guide gives them."""

import json
import mimetypes
from pathlib import Path

import pytest

from records.headers import POLICY
from tests.house.source import ROOT

HOME = "https://sketch.test"  # a phone tells its position to secure pages only
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True, "device_scale_factor": 2}
GRID = {"affine": [100, 70000, 0, 200, 0, 111000], "from": [10, 50], "good_within_m": 0.02, "radius_m": 2000}


def polygon(kind, corners, **told):
    return {"type": "Feature", "geometry": {"type": "Polygon", "coordinates": [[*corners, corners[0]]]}, "properties": {"kind": kind, **told}}


def line(kind, points, **told):
    return {"type": "Feature", "geometry": {"type": "LineString", "coordinates": points}, "properties": {"kind": kind, **told}}


THERE = {
    "type": "FeatureCollection",
    "features": [
        polygon("outline", [[100, 200], [110, 200], [110, 202], [100, 202]]),
        polygon("needed", [[98, 198], [112, 198], [112, 204], [98, 204]], label="needed"),
        polygon("swept", [[98, 198], [105, 198], [105, 204], [98, 204]], label="passive power", technique="passive_power"),
        polygon("unswept", [[105, 198], [112, 198], [112, 204], [105, 204]], label="not yet swept: passive power"),
        polygon("zone", [[103, 200], [104, 200], [104, 202], [103, 202]], label="by hand"),
        line("trace", [[103.5, 196], [103.53, 206.07]], label="E electricity, level B", colour="#d7191c", id="T-1"),
        line("planned", [[97, 201], [113, 201]], label="plan: W water", colour="#1f5fbf"),
        {"type": "Feature", "geometry": {"type": "Point", "coordinates": [103.5, 201]}, "properties": {"kind": "hole", "label": "TH-1, 0.62 m"}},
    ],
    "underlay": None,
    "grid": GRID,
}


class Stage:
    """A page and what it asked for; `there` and `ground` are what it is answered, None for no answer at all."""

    def __init__(self, page):
        self.page, self.there, self.ground, self.posted, self.wrong = page, THERE, "<p>Needed and not yet swept: 42 m².</p>", [], []
        page.on("console", lambda said: self.wrong.append(said.text) if said.type in ("error", "warning") and "Failed to load" not in said.text else None)
        page.on("pageerror", lambda error: self.wrong.append(str(error)))
        page.set_default_timeout(4000)
        page.route("**/*", self.answer)

    def answer(self, route):
        path = route.request.url.removeprefix(HOME)
        if path == "/there.json":
            return route.abort() if self.there is None else route.fulfill(body=json.dumps(self.there), content_type="application/json")
        if path == "/ground/":
            self.posted.append(route.request.post_data)
            return route.abort() if self.ground is None else route.fulfill(body=self.ground, content_type="text/html")
        file = ROOT / "records" / path.lstrip("/") if path.startswith("/static/") else Path(__file__).parent / "harness.html"
        headers = {"Content-Security-Policy": POLICY, "Content-Type": mimetypes.guess_type(file.name)[0]}
        return route.fulfill(body=file.read_bytes(), headers=headers)

    def open(self, label):
        """The sketch of the field with this label."""
        self.page.get_by_text(f"Draw: {label}", exact=True).click()
        sketch = self.page.locator(".sketch-sheet", has=self.page.get_by_text(f"Draw: {label}", exact=True))
        sketch.locator(".ol-viewport").wait_for()
        self.page.wait_for_function("() => document.querySelector('.sketch-scale')?.textContent")
        return Sketch(self.page, sketch)


class Sketch:
    """An open sketch: its buttons, its words, and its ground, touched at shares of its width and height."""

    def __init__(self, page, node):
        self.page, self.node, self.ground = page, node, node.locator(".sketch-ground")

    def press(self, name):
        self.node.get_by_role("button", name=name, exact=True).click()

    def press_idle(self, name):
        """A button that has nothing to do and says so, which Playwright would wait for."""
        idle = self.node.get_by_role("button", name=name, exact=True)
        assert idle.get_attribute("aria-disabled") == "true"
        idle.dispatch_event("click")

    @property
    def says(self):
        return self.node.locator(".sketch-says").inner_text()

    @property
    def measures(self):
        return self.node.locator(".sketch-measures").inner_text()

    def at(self, across, down):
        self.ground.scroll_into_view_if_needed()
        box = self.ground.bounding_box()
        return box["x"] + across * box["width"], box["y"] + down * box["height"]

    def tap(self, across, down):
        self.page.touchscreen.tap(*self.at(across, down))

    def type_point(self, first, second, by="Put it there"):
        labels = ("East, metres", "North, metres") if by == "Put it there" else ("Metres from the last", "Bearing, degrees")
        for label, value in zip(labels, (first, second), strict=True):
            self.node.get_by_label(label).fill(str(value))
        self.node.get_by_role("button", name=by).click()


@pytest.fixture(scope="module")
def contexts(browser):
    """A context for each set of options, kept for a whole file, since making one costs more than a test."""
    made = {}

    def of(**options):
        name = json.dumps(options, sort_keys=True)
        if name not in made:
            made[name] = browser.new_context(**options)
        return made[name]

    yield of
    for context in made.values():
        context.close()


@pytest.fixture
def stage_of(contexts):
    """Makes a stage with these options of the browser; whatever it complained of fails the test."""
    opened = []

    def make(**options):
        stage = Stage(contexts(**{"reduced_motion": "reduce"} | PHONE | options).new_page())
        opened.append(stage)
        stage.page.goto(f"{HOME}/")
        return stage

    yield make
    for stage in opened:
        stage.page.close()
    assert [one.wrong for one in opened if one.wrong] == []


@pytest.fixture
def stage(stage_of):
    return stage_of()
