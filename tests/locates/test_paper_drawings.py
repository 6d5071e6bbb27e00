"""The plan and the time bars: one drawing for paper and page, read as SVG with an XML parser."""

import re
from datetime import UTC, datetime, timedelta
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest
from shapely.geometry import box

from locates.permits.paper import COLOURS, bars_svg, chart_of, plan_of, plan_svg
from records.paper.bars import Bar, Chart, axis_of, bars_drawing
from records.paper.drawing import Area, Drawing, Stroke, Words, svg
from records.paper.plan import POINTS_PER_METRE, hatching, plan_drawing, round_steps, scaled
from records.rules.words import UTILITIES
from tests.locates.printing import sheet_of
from tests.rules.cast import line
from tests.rules.changes import and_calibration, and_trace, with_award, with_enquiry, with_permit, with_trace, without, without_locate

SVG = "{http://www.w3.org/2000/svg}"
NOON = datetime(2027, 3, 4, 12, tzinfo=UTC)


def texts(drawn):
    return [one.text for one in ElementTree.fromstring(drawn).iter(f"{SVG}text")]


def both(*changes):
    return [plan_svg(sheet_of(*changes)), bars_svg(sheet_of(*changes))]


@pytest.mark.parametrize("changes", [(), (without_locate(),)], ids=["clear", "no locate"])
def test_a_drawing_bears_presentation_attributes_only(changes):
    for drawn in both(*changes):
        elements = list(ElementTree.fromstring(drawn).iter())
        assert {one.tag.removeprefix(SVG) for one in elements} <= {"svg", "rect", "path", "text"}
        assert not {"style", "href", "onload", "id"} & {name for one in elements for name in one.attrib}


def test_a_drawing_is_an_image_with_words_for_those_who_cannot_see_it():
    for drawn in both():
        root = ElementTree.fromstring(drawn)
        assert root.get("role") == "img"
        assert len(root.get("aria-label")) > 40
        assert (root.get("width"), root.get("height")) == ("100%", None)


def test_a_drawing_lies_on_white_paper_of_its_own():
    for drawn in both():
        root = ElementTree.fromstring(drawn)
        assert root[0].tag == f"{SVG}rect"
        assert root[0].get("fill") == "#ffffff"
        assert f"{root[0].get('x')} {root[0].get('y')} {root[0].get('width')} {root[0].get('height')}" == root.get("viewBox")


def test_words_from_records_are_escaped_and_shown():
    named = with_enquiry("E-1", service_owner="<script>alert(1)</script> & \x01Söhne")
    drawn = bars_svg(sheet_of(named))
    assert "<script" not in drawn
    assert "Plans: <script>alert(1)</script> & [U+0001]Söhne" in " ".join(texts(drawn))


def test_every_bar_says_in_words_how_it_stands():
    lapsed = with_award("C-1", expires_on="2027-03-01")
    said = texts(bars_svg(sheet_of(lapsed)))
    assert "NOT GOOD, was good through 1 Mar 2027" in said
    assert "good through 24 Mar 2027" in said


def test_evidence_that_has_not_begun_says_when_it_does():
    """Found out of tolerance and put right today, an instrument is in calibration from tomorrow on."""
    mended = and_calibration("RX-1", "K-2", "2027-03-04", as_found="out_of_tolerance")
    assert "NOT GOOD, begins 5 Mar 2027" in texts(bars_svg(sheet_of(mended)))


def test_evidence_that_is_not_there_is_said_to_be_none():
    asked = with_enquiry("E-1", answered_at=None)
    assert "NONE" in texts(bars_svg(sheet_of(asked)))


def test_the_line_is_named_by_what_ends_there():
    said = " ".join(texts(bars_svg(sheet_of(with_award("C-1", expires_on="2027-03-07")))))
    assert "thick line: good through 7 Mar 2027: then ends Cass Yarrow: digging (crew)" in said


def test_the_axis_holds_window_instant_and_line():
    chart = chart_of(sheet_of())
    axis = axis_of(chart, 500)
    assert all(0 < axis.x(instant) < 500 for instant in (*chart.window, chart.at, chart.until))


@pytest.mark.parametrize(("good", "fill"), [(True, "#2e6b4a"), (False, "#ffffff")])
def test_a_good_bar_is_filled_and_one_that_is_not_is_hollow_and_crossed_out(good, fill):
    window = (NOON, NOON + timedelta(days=2))
    bar = Bar("Plans", "good", NOON, NOON + timedelta(days=1), good)
    drawn = bars_drawing(Chart((bar,), window, NOON, window[1], "good until then", ZoneInfo("UTC")), 500, 8)
    areas = [item for item in drawn.items if isinstance(item, Area) and item.width == 1]
    strokes = [item for item in drawn.items if isinstance(item, Stroke) and item.colour == "#a61b1b"]
    assert [area.fill for area in areas] == [fill]
    assert bool(strokes) is not good


def test_the_days_of_the_axis_begin_at_the_site_s_own_midnight_across_a_change_of_clocks():
    """The clocks of this zone go back on 4 April 2027."""
    chart = chart_of(sheet_of(with_permit(valid_from="2027-04-03T07:00", valid_to="2027-04-06T17:00"), at="2027-04-03T08:00"))
    axis, named = axis_of(chart, 500), [item for item in bars_drawing(chart, 500, 8).items if isinstance(item, Words) and item.anchor == "middle"]
    days = [datetime.strptime(f"{item.said} 2027".replace("2027 2027", "2027"), "%d %b %Y").replace(tzinfo=chart.zone) for item in named]
    assert {day.utcoffset() for day in days} == {timedelta(hours=13), timedelta(hours=12)}
    assert [item.x for item in named] == pytest.approx([axis.x(day) for day in days])


# the plan


@pytest.mark.parametrize(("least", "step"), [(1, 1), (1.01, 2), (2, 2), (2.1, 5), (5.5, 10), (10, 10), (0.003, 0.005), (99_999, 100_000)])
def test_steps_are_round(least, step):
    assert round_steps(least) == pytest.approx(step)


@pytest.mark.parametrize("wide", [0.1, 3, 17, 250, 40_000])
def test_the_plan_is_to_the_largest_round_scale_that_fits(wide):
    to = scaled(box(5e5, 2e5, 5e5 + wide, 2e5 + wide / 2), 500, 400, to_scale=True)
    assert str(to.ratio).strip("0") in ("1", "2", "5")
    assert to.per_metre == pytest.approx(POINTS_PER_METRE / to.ratio)
    assert wide * to.per_metre <= 500 < wide * to.per_metre * 5


def test_a_metre_on_paper_is_a_metre_divided_by_the_scale():
    sheet = sheet_of()
    drawn = plan_drawing(plan_of(sheet), 511, 400, 8)
    outline = next(item for item in drawn.items if isinstance(item, Area) and item.width == 1.8)
    xs = [x for x, _ in outline.rings[0]]
    assert max(xs) - min(xs) == pytest.approx(10 / 100 * 72 / 0.0254)


def test_north_is_up_and_east_is_right():
    drawn = plan_drawing(plan_of(sheet_of(with_permit(outline=box(0, 0, 10, 4)))), 511, 400, 8)
    lines = {item.said: item.x for item in drawn.items if isinstance(item, Words)}
    assert lines["E1 · B"] < lines["W1 · B"]


def test_every_utility_has_a_colour_and_dashes_of_its_own():
    assert set(COLOURS) == set(UTILITIES)
    assert len(set(COLOURS.values())) == len(UTILITIES)
    assert len({dash for _, dash in COLOURS.values()}) == len(UTILITIES)


def test_every_traced_line_bears_its_tag_and_is_in_the_key():
    said = texts(plan_svg(sheet_of(and_trace("T-9", "clamp", line((5, -9), (5, 9)), utility="telecom", quality_level="B"))))
    assert {"E1 · B", "W1 · B", "T1 · B"} <= set(said)
    assert "T1 telecom, quality level B by the firm's own scheme" in " ".join(said)


def test_ground_not_swept_is_hatched_and_named_by_its_technique():
    said = texts(plan_svg(sheet_of(without("sweeps", "W-passive_radio-0", "W-passive_radio-90"))))
    assert "NOT SWEPT: passive radio" in said
    assert "NOT SWEPT: passive power" not in said


def test_hand_dig_areas_stand_on_the_plan():
    sheet = sheet_of()
    area = next(one["area_m2"] for one in sheet["conditions"] if one["subject"] == "trace:T-2")
    assert f"E1 {area} m²" in texts(plan_svg(sheet))


def test_no_depth_on_the_plan_is_a_bare_number():
    sheet = sheet_of(with_trace("T-2", raised_depth_m="2.5"), and_trace("T-9", "passive_radio", line((5, -9), (5, 9)), depth_m="0.777"))
    said = " ".join(texts(plan_svg(sheet)))
    assert "depth not to be relied on" in said
    assert "0.777" not in said


def slips(drawn):
    """The places of the tags and notes: paper slips with a thin frame."""
    rings = [item.rings[0] for item in drawn.items if isinstance(item, Area) and item.fill == "#ffffff" and item.width == 0.4]
    return [box(*ring[0], *ring[2]) for ring in rings]


def test_tags_hide_neither_each_other_nor_north():
    lines = [and_trace(f"T-{name}", "clamp", line((name, -9), (name, 9))) for name in range(10, 16)]
    found = slips(plan_drawing(plan_of(sheet_of(*(change for change in lines), with_permit(outline=box(0, 0, 20, 4)))), 511, 400, 8))
    assert len(found) > 8
    assert not any(one.intersects(other) for at, one in enumerate(found) for other in found[:at])


def test_hatching_keeps_within_its_ground_and_covers_it():
    ground = box(10, 10, 90, 60)
    lines = hatching(ground, 45.0, gap=4.0)
    assert all(ground.buffer(1e-6).covers(one) for one in lines)
    assert sum(one.length for one in lines) * 4 == pytest.approx(ground.area, rel=0.03)


@pytest.mark.parametrize("value", [0.0, -0.001, 1.5, -12.345, 1e6])
def test_numbers_in_an_svg_are_plain(value):
    drawn = svg(Drawing(10, 10, (Stroke(((value, 0), (1, 1))),), "A stroke."))
    assert re.search(r'd="M(-?\d+(\.\d+)?) 10L1 9"', drawn)
    assert "M-0 " not in drawn
