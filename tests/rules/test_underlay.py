"""How a picture lies in a site's grid, from points that are known in both."""

from math import cos, hypot, radians, sin

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from locates.grids.rules.underlay import Known, doubts, laid
from records.rules.text import Unfit

WIDTH, HEIGHT = 1000, 800
unhurried = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
turns, scales, places = st.floats(0, 359.99), st.floats(0.002, 1.5), st.floats(-5000, 5000)


def truth(col, row, turned, scale, east, north):
    """Where a pixel stands, by the plain words: the picture's top points `turned` degrees clockwise from north, its top left corner is at east, north."""
    right, up = col * scale, -row * scale
    turn = radians(turned)
    return Known(col, row, east + right * cos(turn) + up * sin(turn), north - right * sin(turn) + up * cos(turn))


@unhurried
@given(turns, scales, places, places)
def test_two_points_give_scale_turn_and_place(turned, scale, east, north):
    lay = laid([truth(*one, turned, scale, east, north) for one in ((100, 700), (900, 50))])
    assert lay.metres_a_pixel == pytest.approx(scale)
    assert abs((lay.top_points_deg - turned + 180) % 360 - 180) < 1e-6
    elsewhere = truth(37, 411, turned, scale, east, north)
    assert lay.to_site(37, 411) == pytest.approx((elsewhere.x, elsewhere.y), abs=1e-6)
    assert lay.to_picture(elsewhere.x, elsewhere.y) == pytest.approx((37, 411), abs=1e-3)
    assert max(lay.off_m) < 1e-6


def test_the_extent_holds_the_whole_picture():
    lay = laid([truth(*one, 90, 0.1, 50, 20) for one in ((0, 0), (1000, 800))])  # its top points east: right is south
    assert lay.extent(WIDTH, HEIGHT) == pytest.approx((50 - 80, 20 - 100, 50, 20))


def fitted(*off):
    """Four corners, the last one off by so much."""
    points = [truth(*one, 30, 0.05, 0, 0) for one in ((10, 10), (990, 10), (990, 790), (10, 790))]
    wrong = points[-1]
    points[-1] = Known(wrong.col, wrong.row, wrong.x + off[0], wrong.y + off[1])
    return points


def test_more_points_are_fitted_best_and_each_tells_how_far_it_is_off():
    lay = laid(fitted(0.1, 0))
    assert 0.02 < max(lay.off_m) < 0.1
    worse = [hypot(lay.to_site(one.col + 1, one.row)[0] - one.x, lay.to_site(one.col + 1, one.row)[1] - one.y) for one in fitted(0.1, 0)]
    assert sum(off**2 for off in lay.off_m) < sum(off**2 for off in worse)
    assert doubts(lay, fitted(0.1, 0), WIDTH, HEIGHT) == ()


def test_a_point_that_does_not_fit_is_named():
    [says] = doubts(laid(fitted(4, 0)), fitted(4, 0), WIDTH, HEIGHT)
    assert says.startswith("The points do not fit: point 4 lies")


def test_a_mirrored_picture_does_not_fit():
    points = [Known(one.col, one.row, -one.x, one.y) for one in fitted(0, 0)]
    assert any("do not fit" in says for says in doubts(laid(points[:3]), points[:3], WIDTH, HEIGHT))


def test_of_two_points_it_is_said_that_nothing_checks_them():
    points = fitted(0, 0)[::2]
    assert doubts(laid(points), points, WIDTH, HEIGHT) == (
        "Two points always fit: give a third one, which tells whether they are right and the picture is to scale.",
    )


def test_points_close_together_are_doubted_with_what_a_pixel_carries():
    points = [truth(*one, 0, 0.05, 0, 0) for one in ((0, 0), (100, 0), (0, 100))]
    [says] = doubts(laid(points), points, WIDTH, HEIGHT)
    assert "one pixel's error at one of them is up to 0.50 m" in says


@pytest.mark.parametrize("scale", [0.0001, 12])
def test_an_unlikely_scale_is_doubted(scale):
    points = [truth(*one, 0, scale, 0, 0) for one in ((0, 0), (900, 0), (0, 700))]
    points = points if scale > 1 else [truth(*one, 0, scale, 0, 0) for one in ((0, 0), (9000, 0), (0, 7000))]
    assert any("which is unlikely" in says for says in doubts(laid(points), points, 9000, 9000))


def test_a_point_outside_the_picture_is_doubted():
    points = [truth(*one, 0, 0.1, 0, 0) for one in ((0, 0), (1200, 0), (0, 700))]
    assert doubts(laid(points), points, WIDTH, HEIGHT) == ("Point 2 lies outside the picture of 1000 × 800 pixels.",)


@pytest.mark.parametrize(
    "points",
    [
        [],
        [Known(0, 0, 0, 0)],
        [Known(0, 0, 0, 0), Known(3, 3, 50, 50)],
        [Known(0, 0, 0, 0), Known(300, 3, 0.1, 0.1)],
        [Known(0, 0, 0, 0), Known(float("nan"), 300, 10, 10)],
        [Known(0, 0, 0, 0), Known(300, 300, 200_000, 10)],
    ],
)
def test_points_that_give_no_lay_are_refused(points):
    with pytest.raises(Unfit):
        laid(points)
