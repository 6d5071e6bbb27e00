"""A picture turned north-up: what is where, how large, and what of the file is not kept."""

from io import BytesIO

import pytest
from PIL import Image

from locates.grids.raster import LONGEST, north_up, upright_size
from locates.grids.rules.underlay import Known, laid
from records.rules.text import Unfit

RED, BLUE, WHITE = (220, 20, 20), (20, 20, 220), (250, 250, 250)


def picture(size=(400, 200), format="PNG", orientation=None, place=None):
    """White, with a red square at its top left and a blue one at its top right."""
    made = Image.new("RGB", size, WHITE)
    side = size[1] // 5
    made.paste(RED, (0, 0, side, side))
    made.paste(BLUE, (size[0] - side, 0, size[0], side))
    exif = Image.Exif()
    if orientation:
        exif[0x0112] = orientation
    if place:
        exif[0x010E] = place
    data = BytesIO()
    made.save(data, format, exif=exif)
    return data.getvalue()


def colour_at(raster, x, y):
    """What stands at a point of the site's grid: red, blue, white, or nothing."""
    made = Image.open(BytesIO(raster.content)).convert("RGBA")
    least_x, least_y, most_x, most_y = raster.extent
    col, row = (x - least_x) / (most_x - least_x) * made.width, (most_y - y) / (most_y - least_y) * made.height
    found = made.getpixel((min(int(col), made.width - 1), min(int(row), made.height - 1)))
    if found[3] < 128:
        return "nothing"
    return next(name for name, like in (("red", RED), ("blue", BLUE), ("white", WHITE)) if sum(abs(a - b) for a, b in zip(found[:3], like, strict=True)) < 120)


def upright(scale=0.1):
    """Its top is north, its top left corner at 100, 200."""
    return laid([Known(0, 0, 100, 200), Known(400, 200, 100 + 400 * scale, 200 - 200 * scale)])


def test_a_picture_that_lies_upright_stays_as_it_is():
    raster = north_up(picture(), upright())
    assert (raster.width, raster.height, raster.metres_a_pixel) == (400, 200, pytest.approx(0.1))
    assert raster.extent == pytest.approx((100, 180, 140, 200))
    assert [colour_at(raster, *at) for at in ((101, 199), (139, 199), (101, 181))] == ["red", "blue", "white"]


def test_a_picture_whose_top_points_east_is_turned():
    raster = north_up(picture(), laid([Known(0, 0, 100, 200), Known(400, 0, 100, 160)]))  # its right is south
    assert raster.extent == pytest.approx((80, 160, 100, 200))
    assert [colour_at(raster, *at) for at in ((99, 199), (99, 161), (81, 161))] == ["red", "blue", "white"]


def test_what_a_turned_picture_does_not_reach_is_seen_through():
    slant = laid([Known(0, 0, 0, 0), Known(400, 0, 28.284, 28.284)])
    raster = north_up(picture(), slant)
    least_x, _, _, most_y = raster.extent
    assert colour_at(raster, least_x + 0.3, most_y - 0.3) == "nothing"
    assert colour_at(raster, *slant.to_site(10, 10)) == "red"
    assert colour_at(raster, *slant.to_site(390, 10)) == "blue"
    assert colour_at(raster, *slant.to_site(200, 150)) == "white"


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_points_are_counted_in_the_picture_as_it_is_seen_upright(orientation):
    """What is stored sideways, with a word of the camera's how to turn it, is shown turned by every browser."""
    turned = {1: 0, 3: 180, 6: 90, 8: 270}[orientation]
    seen = Image.open(BytesIO(picture())).rotate(turned, expand=True)  # stored so that the camera's word turns it back
    data = BytesIO()
    exif = Image.Exif()
    exif[0x0112] = orientation
    seen.save(data, "JPEG", exif=exif, quality=95)
    assert upright_size(data.getvalue()) == (400, 200)
    raster = north_up(data.getvalue(), upright())
    assert [colour_at(raster, *at) for at in ((101, 199), (139, 199), (101, 181))] == ["red", "blue", "white"]


@pytest.mark.parametrize("format", ["PNG", "JPEG", "WEBP"])
def test_a_large_picture_becomes_a_raster_of_bounded_size_and_stays_in_its_place(format):
    raster = north_up(picture((6000, 3000), format), laid([Known(0, 0, 100, 200), Known(6000, 3000, 160, 170)]))
    assert max(raster.width, raster.height) == LONGEST
    assert raster.extent == pytest.approx((100, 170, 160, 200), abs=0.1)
    assert [colour_at(raster, *at) for at in ((105.5, 195), (104.5, 195), (154.5, 195), (106.5, 193))] == ["red", "red", "blue", "white"]
    assert [colour_at(raster, *at) for at in ((105.9, 194.1), (106.1, 194.1), (105.9, 193.9))] == ["red", "white", "white"]


def test_what_the_camera_wrote_is_not_kept():
    raster = north_up(picture(format="JPEG", place="taken at the quay"), upright())
    made = Image.open(BytesIO(raster.content))
    assert (made.format, dict(made.getexif()), b"quay" in raster.content) == ("WEBP", {}, False)


def bomb():
    """A picture that says of itself that it is monstrous."""
    data = bytearray(picture())
    data[16:24] = (60_000).to_bytes(4, "big") + (60_000).to_bytes(4, "big")
    return bytes(data)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "no picture that can be read"),
        (b"GIF89a" + bytes(100), "no picture that can be read"),
        (picture()[:300], "breaks off or is damaged"),
        (bomb(), "no picture that can be read|at most 60 million"),
        (picture((10_000, 7_000)), "at most 60 million"),
    ],
)
def test_what_is_no_picture_or_a_monstrous_one_is_refused(data, says):
    with pytest.raises(Unfit, match=says):
        north_up(data, upright())


def test_a_picture_that_would_leave_the_grid_is_refused():
    with pytest.raises(Unfit, match="out of the site's grid"):
        north_up(picture(), laid([Known(0, 0, 0, 0), Known(100, 0, 50_000, 0)]))
