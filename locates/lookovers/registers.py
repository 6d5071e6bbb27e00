"""The diaries of digs, as a register that is exported for reading alone: each row is somebody's own word, given at the time."""

from collections.abc import Iterator
from zoneinfo import ZoneInfo

from locates.lookovers.models import DiaryRow
from locates.lookovers.witness import told
from records.base import ByCodePoint
from records.rules.dates import instant_text
from records.tables import Reading

COLUMNS = (
    "kind",
    "person",
    "printed_name",
    "part",
    "happened_at",
    "recorded_at",
    "occasion",
    "wrong",
    "declaration",
    "note",
    "action",
    "further",
    "techniques",
    "receiver",
    "place",
    "depth_m",
    "found",
    "hole",
)
INSTANTS = ("happened_at", "recorded_at")


def diaries() -> Iterator[tuple[str, ...]]:
    """Every row of every diary, by permit and number."""
    rows = DiaryRow.objects.select_related("permit__site").order_by(ByCodePoint("permit_id"), "number")
    yield from map(cells, rows.iterator(chunk_size=500))


def cells(row: DiaryRow) -> tuple[str, ...]:
    """The row as the register writes it: its permit, its number, and its columns, times by the site's clocks."""
    zone = ZoneInfo(row.permit.site.time_zone)
    texts = told(row) | {name: instant_text(getattr(row, name), zone) for name in INSTANTS}
    return row.permit_id, texts["number"], *(texts[name] for name in COLUMNS)


TABLES = ()
CHECKS = ()
FOOTINGS = ()
READINGS = (Reading("signed/diaries.csv", f"permit number {' '.join(COLUMNS)}", diaries, DiaryRow),)
