"""What the sketch asks of the server and of the phone, and what it says where there is no answer."""

import json
import re

import pytest

pytestmark = pytest.mark.browser
HERE = {"longitude": 10.0001, "latitude": 50.00002, "accuracy": 4.26}  # 7 m east and 2.22 m north of the grid's (100, 200)


def raw(stage):
    text = stage.page.locator("[name=fixes]").input_value()
    return json.loads(text) if text else []


@pytest.fixture
def sketch(stage):
    return stage.open("Ground swept")


def words(stage, text):
    stage.page.locator("#words", has_text=text).wait_for()
    return stage.page.locator("#words").inner_text()


def test_a_draft_is_asked_about_once_it_rests_and_the_answer_is_shown(stage, sketch):
    sketch.type_point(98, 198)
    sketch.type_point(105, 198)
    sketch.type_point(105, 204)
    words(stage, "Needed and not yet swept: 42 m²")
    (asked,) = stage.posted
    told = dict(re.findall(r'name="(\w+)"\r\n\r\n(.*?)\r\n--', asked, re.DOTALL))
    assert (told["what"], told["technique"], told["shape"]) == ("area", "passive_power", "98 198\r\n105 198\r\n105 204")


def test_another_technique_is_asked_about_anew(stage, sketch):
    stage.page.get_by_label("Technique").select_option("induction")
    words(stage, "Needed")
    assert "induction" in stage.posted[-1]


def test_without_a_connection_old_words_go_and_the_field_keeps_the_shape(stage, sketch):
    sketch.type_point(98, 198)
    words(stage, "Needed")
    stage.ground = None
    sketch.type_point(105, 198)
    assert "42 m²" not in words(stage, "is not reckoned")
    assert stage.page.locator("#area").input_value() == "98 198\n105 198"
    stage.ground = "<p>Needed and not yet swept: 40 m².</p>"
    stage.page.evaluate("() => { dispatchEvent(new Event('online')); }")
    words(stage, "40 m²")


def test_markup_of_an_answer_runs_nothing(stage, sketch):
    stage.ground = "<p>said</p><script>document.title = 'run'</script><img src='/static/mark.svg' onload=\"document.title = 'run'\">"
    sketch.type_point(98, 198)
    words(stage, "said")
    stage.page.wait_for_timeout(200)
    assert stage.page.title() == "A sketch · Spadework"
    assert len(stage.wrong) == 1 and "inline event handler" in stage.wrong.pop()


def test_where_what_lies_there_cannot_be_had_the_bare_grid_is_drawn_on(stage):
    stage.there = None
    sketch = stage.open("Ground swept")
    sketch.node.locator(".sketch-says", has_text="could not be fetched").wait_for()
    sketch.type_point(1, 2)
    assert stage.page.locator("#area").input_value() == "1 2"


def test_what_lies_there_is_told_in_words_too(sketch):
    sketch.node.get_by_text("What is shown").click()
    said = sketch.node.locator(".sketch-fold li").all_inner_texts()
    assert "Traced line: E electricity, level B" in said
    assert "Trial hole: TH-1, 0.62 m" in said
    assert len(said) == 8


def test_what_lies_there_is_fetched_again_when_the_page_says_so(stage, sketch):
    stage.there = stage.there | {"features": stage.there["features"][:1]}
    stage.page.evaluate("() => { document.dispatchEvent(new Event('sketch-again')); }")
    sketch.node.locator(".sketch-fold li").nth(1).wait_for(state="detached")
    assert sketch.node.locator(".sketch-fold li").count() == 1


def test_a_picture_beneath_can_be_faded(stage_of):
    stage = stage_of()
    stage.there = stage.there | {"underlay": {"src": "/static/mark.svg", "extent": [98, 198, 112, 204]}}
    with stage.page.expect_request("**/mark.svg"):
        sketch = stage.open("Ground swept")
    sketch.node.get_by_label("Strength of the picture beneath").fill("20")
    assert stage.wrong == []


class TestThePhonesPosition:
    @pytest.fixture
    def sketch(self, stage_of):
        stage = self.stage = stage_of(permissions=["geolocation"], geolocation=HERE)
        return stage.open("Ground swept")

    def placed(self, sketch):
        sketch.press("My position")
        sketch.node.locator(".sketch-says", has_text="The phone puts you").wait_for()
        return sketch.says

    def test_becomes_a_point_with_its_accuracy_in_words_and_raw_in_the_form(self, sketch):
        said = self.placed(sketch)
        assert "107 east, 202.22 north" in said and "right to 4.3 m, and 0.02 m beside that" in said and "measure from something fixed" in said
        assert self.stage.page.locator("#area").input_value() == "107 202.22"
        (fix,) = raw(self.stage)
        assert (fix["lon"], fix["lat"], fix["accuracy_m"], fix["x"], fix["y"]) == (10.0001, 50.00002, 4.26, 107, 202.22)
        assert fix["taken_at"].endswith("Z")

    def test_goes_from_the_form_with_its_point_and_comes_back_with_it(self, sketch):
        self.placed(sketch)
        sketch.press("Undo")
        assert raw(self.stage) == []
        sketch.press("Redo")
        assert len(raw(self.stage)) == 1

    def test_is_refused_where_the_grid_does_not_reach(self, sketch):
        self.stage.page.context.set_geolocation(HERE | {"longitude": 11})
        sketch.press("My position")
        sketch.node.locator(".sketch-says", has_text="too far").wait_for()
        assert self.stage.page.locator("#area").input_value() == ""


def test_a_position_that_is_not_allowed_is_said(stage_of):
    stage = stage_of(permissions=[])
    sketch = stage.open("Ground swept")
    sketch.press("My position")
    sketch.node.locator(".sketch-says", has_text="not allowed").wait_for()


def test_no_position_is_offered_where_the_grid_is_not_known_on_the_earth(stage):
    assert not stage.open("Line").node.get_by_role("button", name="My position").is_visible()
