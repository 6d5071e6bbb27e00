"""What the history must say of every row of a diary, and the stored rows to hold against it."""

from collections.abc import Iterator

from locates.lookovers.models import DiaryRow
from records.ledger.chain import digest, instant
from records.ledger.facts import Signed

ACT, KIND = "permit.diary_written", "permit"
CHUNK = 500


def told(row: DiaryRow) -> dict[str, str]:
    """What the entry of a row says after the act: every column of it."""
    return {
        "number": str(row.number),
        "kind": row.kind,
        "person": row.person_id,
        "printed_name": row.printed_name,
        "part": row.part,
        "happened_at": instant(row.happened_at),
        "occasion": row.occasion,
        "wrong": ";".join(row.wrong),
        "declaration": row.declaration,
        "note": row.note,
        "action": row.action,
        "further": row.further,
        "techniques": ";".join(row.techniques),
        "receiver": row.receiver_id or "",
        "place": row.place,
        "depth_m": "" if row.depth_m is None else f"{row.depth_m.normalize():f}",
        "found": "yes" if row.found else "no",
        "hole": row.hole_id or "",
        "stop": "" if row.stop_id is None else str(row.stop_id),
        "recorded_at": instant(row.recorded_at),
    }


def rows() -> Iterator[Signed]:
    """Every stored row. It is upon no sheet."""
    for one in DiaryRow.objects.order_by("pk").iterator(chunk_size=CHUNK):
        yield Signed(KIND, one.permit_id, str(one), told(one), "", digest(""))
