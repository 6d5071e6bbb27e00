"""Time bars in bands: nothing runs through words, what is booked is a shape with its words, and they fit a narrow page."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from records.paper.bands import bands_drawing
from records.paper.bars import Bar, Chart
from records.paper.drawing import Stroke, Words

AT = datetime(2027, 3, 4, 9, tzinfo=UTC)
DAY = timedelta(days=1)
LONG = "no cover from 21 Mar 2027 through 1 Apr 2027, " * 3


def bar(label="Olu Hale: clamp", state="good through 20 Mar 2027", days=16, booked=(), good=True):
    return Bar(label, state, AT - 7 * DAY, AT + days * DAY, good, tuple(AT + n * DAY for n in booked))


def drawn(*bars, width=280):
    marks = tuple(date(2027, 3, 4) + n * DAY for n in (0, 30, 60, 90))
    chart = Chart(bars, (AT, AT + 90 * DAY), AT, AT + 90 * DAY, "in 90 days", ZoneInfo("UTC"), "the next 90 days", "as of", marks)
    return bands_drawing(chart, width, 12)


def words(drawing):
    return [one for one in drawing.items if isinstance(one, Words)]


def spans(item):
    """Bottom and top of what is drawn."""
    points = item.points if isinstance(item, Stroke) else [point for ring in item.rings for point in ring]
    return min(y for _, y in points), max(y for _, y in points)


@pytest.mark.parametrize("width", [280, 758])
def test_no_line_and_no_area_runs_through_a_row_s_words(width):
    drawing = drawn(bar(), bar("Ana " * 30, LONG, booked=[30]), bar(good=False), *(bar() for _ in range(6)), width=width)
    for said in words(drawing):
        for item in (one for one in drawing.items if not isinstance(one, Words)):
            low, high = spans(item)
            beside = max(x for x, _ in (item.points if isinstance(item, Stroke) else item.rings[0])) <= said.left
            assert beside or high <= said.y or low >= said.y + 0.7 * said.size, (said.said, item)


@pytest.mark.parametrize("width", [280, 758])
def test_all_words_stay_on_the_drawing(width):
    drawing = drawn(bar(), bar("Ana " * 30, LONG, booked=[30]), *(bar() for _ in range(6)), width=width)
    assert all(one.left >= -0.01 and one.left + one.wide <= width + 0.01 and 0 <= one.y <= drawing.height for one in words(drawing))


def test_what_is_booked_is_a_diamond_and_the_key_says_so():
    none, one = drawn(bar()), drawn(bar(booked=[30]))
    extra = [item for item in one.items if item not in none.items and getattr(item, "rings", None) and len(item.rings[0]) == 4 and item.width == 1.2]
    assert len(extra) == 2  # in the key and in the band
    assert "diamond: a booked renewal begins" in [said.said for said in words(one)]
    assert not any("diamond" in said.said for said in words(none))


def test_what_is_booked_beyond_the_axis_stands_at_its_edge_and_the_key_says_so():
    told = " ".join(said.said for said in words(drawn(bar(booked=[300]))))
    assert "at the right edge: after that" in told


def test_two_that_have_no_room_beside_each_other_stand_below_each_other():
    beside, below = words(drawn(bar(), width=758)), words(drawn(bar("Olu Hale: passive power, passive radio"), width=280))
    heights = [len({said.y for said in some if "Olu" in said.said or "good through" in said.said}) for some in (beside, below)]
    assert heights == [1, 2]


def test_it_is_told_in_words_too():
    assert "Olu Hale: clamp: good through 20 Mar 2027." in drawn(bar()).says
