"""What lies under the sketch: a picture laid into the site's grid by points known in both, and how the grid lies on the Earth."""

from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from shapely import from_wkt

from locates.fieldwork.models import FieldSheet, Underlay
from locates.grids.facts import grid_of
from locates.grids.raster import Raster, north_up, upright_size
from locates.grids.rules.underlay import Known, Lay, doubts, laid
from records.files.models import Attachment
from records.files.rules.media import IMAGES
from records.files.store import place
from records.ledger.chain import digest
from records.rules.text import Unfit

REACH_M = 1000.0  # within which a phone may put its position by the straight approximation
SHOWN_WIDE = 640  # pixels of the picture as it is shown for its points to be touched


@dataclass(frozen=True, slots=True)
class Laid:
    """A picture as its points lay it, what speaks against it, and its size in pixels."""

    lay: Lay
    doubts: tuple[str, ...]
    width: int
    height: int


def pictures(row: FieldSheet) -> list[Attachment]:
    """What may be laid: the locate's own pictures, and those of the owners' answers at its site."""
    kept = Attachment.objects.filter(struck_at=None, media_type__in=IMAGES).order_by("-recorded_at", "key")
    own = kept.filter(kind="locate", subject=row.locate_id)
    plans = kept.filter(kind="enquiry", subject__in=list(row.locate.site.enquiries.values_list("pk", flat=True)))
    return [*own, *plans]


def content(one: Attachment) -> bytes:
    return place(one.sha256).read_bytes()


def known(text: str) -> list[Known]:
    """The points as they are kept: column, row, x and y, one point a line. Raises Unfit."""
    try:
        return [Known(*map(float, line.split())) for line in text.splitlines() if line.strip()]
    except (TypeError, ValueError) as trouble:
        raise Unfit("each point has a column and a row of the picture and an x and a y of the site: four numbers were expected") from trouble


def judged(one: Attachment, points: list[Known]) -> Laid:
    """How the points lay the picture. Raises Unfit for what gives no picture or no lay."""
    width, height = upright_size(content(one))
    lay = laid(points)
    return Laid(lay, doubts(lay, points, width, height), width, height)


def raster(stored: Underlay) -> Raster | None:
    """The picture north-up; None where its file is gone or no longer lies."""
    found = Attachment.objects.filter(key=stored.file, struck_at=None).first()
    try:
        return north_up(content(found), laid(known(stored.points))) if found is not None else None
    except (OSError, Unfit):
        return None


def mark(stored: Underlay) -> str:
    """What tells one lay of a picture from another."""
    return digest(f"{stored.file}\n{stored.points}")


def shown(row: FieldSheet) -> dict[str, Any] | None:
    """The picture under the sketch: its address and its extent in site metres; None where none is laid."""
    stored = Underlay.objects.filter(locate=row.locate_id or None).first()
    found = Attachment.objects.filter(key=stored.file, struck_at=None).first() if stored is not None else None
    if found is None:
        return None
    try:
        how = judged(found, known(stored.points))
    except (OSError, Unfit):
        return None
    extent = how.lay.extent(how.width, how.height)
    return {"src": f"{reverse('underlay_picture', args=[row.pk])}?{mark(stored)[:12]}", "extent": list(extent), "doubts": list(how.doubts)}


def grid(row: FieldSheet) -> dict[str, Any] | None:
    """How longitude and latitude become site metres near the dig; None where the site's grid is not tied to the Earth."""
    found = grid_of(row.locate.site_id)
    if found is None:
        return None
    middle = from_wkt(row.outline).centroid if row.outline else None
    try:
        return found.affine((middle.x, middle.y) if middle is not None else (0.0, 0.0), REACH_M).told()
    except Unfit:
        return None
