"""A picture turned so that the grid's north is up, for a sketch to lie upon."""

from dataclasses import dataclass
from io import BytesIO
from math import ceil

from PIL import Image, ImageOps

from locates.grids.rules.underlay import Extent, Lay
from records.rules.text import Unfit
from records.rules.wkt import FARTHEST_M

FORMATS = ("PNG", "JPEG", "WEBP")
MOST_PIXELS = 60_000_000
LONGEST = 2_000  # pixels of the raster's longer side
SIDEWAYS = (5, 6, 7, 8)  # orientations of Exif that exchange width and height
ORIENTATION = 0x0112
QUALITY = 82
DAMAGED = "the picture breaks off or is damaged: a whole one was expected"


@dataclass(frozen=True, slots=True)
class Raster:
    """A WebP picture with north up, see-through where the old one does not reach; its extent in site metres, and what a pixel of it is."""

    content: bytes
    extent: Extent
    width: int
    height: int
    metres_a_pixel: float


def upright_size(data: bytes) -> tuple[int, int]:
    """Width and height in pixels of the picture as it is seen upright: what known points are counted in. Raises Unfit for what is no picture."""
    with _opened(data) as picture:
        return _upright(picture)


def north_up(data: bytes, lay: Lay) -> Raster:
    """The picture as it lies in the site's grid. What a camera wrote into it, such as where it was, is not kept. Raises Unfit for what is no picture."""
    with _opened(data) as picture:
        size = _upright(picture)
        extent = lay.extent(*size)
        if max(map(abs, extent)) > FARTHEST_M:
            raise Unfit(f"the picture would reach out of the site's grid: within -{FARTHEST_M} to {FARTHEST_M} metres was expected")
        across, up = extent[2] - extent[0], extent[3] - extent[1]
        step = max(lay.metres_a_pixel, max(across, up) / LONGEST)
        small = _smaller(picture, size, lay.metres_a_pixel / step)
    width, height = max(1, ceil(across / step - 1e-6)), max(1, ceil(up / step - 1e-6))
    turned = small.transform(
        (width, height), Image.Transform.AFFINE, _back(lay, extent, step, small.width / size[0], small.height / size[1]), Image.Resampling.BILINEAR
    )
    content = BytesIO()
    turned.save(content, "WEBP", quality=QUALITY)
    whole = (extent[0], extent[3] - height * step, extent[0] + width * step, extent[3])
    return Raster(content.getvalue(), whole, width, height, step)


def shrunk(data: bytes, wide: int) -> tuple[bytes, int, int]:
    """The picture upright and at most so wide, to be looked at: as WebP, with its width and height. Raises Unfit for what is no picture."""
    with _opened(data) as picture:
        size = _upright(picture)
        small = _smaller(picture, size, min(1.0, wide / size[0])).convert("RGB")
    content = BytesIO()
    small.save(content, "WEBP", quality=QUALITY)
    return content.getvalue(), small.width, small.height


def _opened(data: bytes) -> Image.Image:
    try:
        picture = Image.open(BytesIO(data), formats=FORMATS)
    except Exception as trouble:  # the library raises many kinds for a picture that is none
        raise Unfit(f"the file is no picture that can be read: {', '.join(FORMATS)} was expected") from trouble
    if picture.width * picture.height > MOST_PIXELS:
        raise Unfit(f"the picture has {picture.width} × {picture.height} pixels: at most {MOST_PIXELS // 1_000_000} million were expected")
    return picture


def _upright(picture: Image.Image) -> tuple[int, int]:
    try:
        turned = picture.getexif().get(ORIENTATION) in SIDEWAYS  # some formats keep it at their end, and so are read through for it
    except Exception as trouble:
        raise Unfit(DAMAGED) from trouble
    return (picture.height, picture.width) if turned else picture.size


def _smaller(picture: Image.Image, size: tuple[int, int], share: float) -> Image.Image:
    """Upright, see-through where the picture is, and not much finer than it will be shown."""
    wanted = (max(1, round(size[0] * share)), max(1, round(size[1] * share)))
    try:
        picture.draft("RGB", (max(wanted), max(wanted)))
        upright = ImageOps.exif_transpose(picture)
        return upright.convert("RGBA").resize(wanted, Image.Resampling.BOX) if share < 1 else upright.convert("RGBA")
    except Exception as trouble:
        raise Unfit(DAMAGED) from trouble


def _back(lay: Lay, extent: Extent, step: float, wide: float, high: float) -> tuple[float, ...]:
    """From columns and rows of the raster to those of the picture that it is made from."""
    corner, right, down = (lay.to_picture(extent[0] + dx * step, extent[3] - dy * step) for dx, dy in ((0, 0), (1, 0), (0, 1)))
    return (
        *((right[0] - corner[0]) * wide, (down[0] - corner[0]) * wide, corner[0] * wide),
        *((right[1] - corner[1]) * high, (down[1] - corner[1]) * high, corner[1] * high),
    )
