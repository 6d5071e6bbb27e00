"""What the history must say of every signature, and the stored signatures to hold against it."""

import json
from collections.abc import Iterator
from itertools import islice
from typing import Any

from shapely.errors import ShapelyError

from locates.permits.facts import gather
from locates.permits.models import Permit, SignOff
from locates.permits.rules.evidence import Evidence
from locates.permits.sheet import signed_rows
from records.ledger.chain import digest, instant
from records.ledger.facts import Signed

ACT, KIND = "permit.sign", "permit"
CHUNK = 500
UNREADABLE = "the permit with its people and its locate is gone or cannot be read, so it"


def told(signature: SignOff) -> dict[str, str]:
    """What the entry of a signature says after the act: every column of it, the long ones as their digests."""
    return {
        "meaning": signature.meaning,
        "person": signature.person_id,
        "printed_name": signature.printed_name,
        "signed_at": instant(signature.signed_at),
        "declaration": signature.declaration,
        "digest": signature.digest,
        "verdict": digest(signature.verdict),
        "recorded_at": instant(signature.recorded_at),
    }


def signatures() -> Iterator[Signed]:
    """Every stored signature, one chunk at a time, held against the permit, its crew and its locate as they are stored now."""
    stored = SignOff.objects.order_by("pk").iterator(chunk_size=CHUNK)
    while chunk := list(islice(stored, CHUNK)):
        permits = stored_now({one.permit_id for one in chunk})
        for one in chunk:
            yield Signed(KIND, one.permit_id, str(one), told(one), one.sheet, one.digest, astray(one.sheet, permits.get(one.permit_id)))


def stored_now(permits: set[str]) -> dict[str, Evidence]:
    """The permits as they are stored now, but for those that are gone or can no longer be read."""
    try:
        return {one.permit.permit: one for one in gather(Permit.objects.filter(permit__among=permits), as_signed=True)}
    except (KeyError, ValueError, ShapelyError):
        return {key: now for one in permits for key, now in stored_now({one}).items()} if len(permits) > 1 else {}


def astray(text: str, now: Evidence | None) -> tuple[str, ...]:
    """The parts of a signed sheet that the stored permit and its locate no longer agree with. Of a text that is no sheet its digest tells."""
    try:
        rows: dict[str, Any] = json.loads(text)["rows"]
    except (ValueError, TypeError, KeyError):
        return ()
    if now is None:
        return (UNREADABLE,)
    stored = signed_rows(now)
    return tuple(name for name in {**rows, **stored} if rows.get(name) != stored.get(name))
