"""What the history must say of every step, and the stored steps to hold against it."""

from collections.abc import Iterator
from itertools import islice

from locates.life.models import Step
from locates.permits.witness import CHUNK, astray, stored_now
from records.ledger.chain import digest, instant
from records.ledger.facts import Signed

ACT, KIND = "permit.step", "permit"


def told(step: Step) -> dict[str, str]:
    """What the entry of a step says after the act: every column of it, the long ones as their digests."""
    return {
        "number": str(step.number),
        "act": step.act,
        "person": step.person_id or "",
        "printed_name": step.printed_name,
        "done_at": instant(step.done_at),
        "declaration": step.declaration,
        "why": step.why,
        "left": step.left,
        "to": step.to_id or "",
        "until": instant(step.until) if step.until else "",
        "digest": step.digest,
        "verdict": digest(step.verdict) if step.verdict else "",
        "recorded_at": instant(step.recorded_at),
    }


def steps() -> Iterator[Signed]:
    """Every stored step, one chunk at a time. One upon a sheet is held against the permit and its locate as they are stored now."""
    stored = Step.objects.order_by("pk").iterator(chunk_size=CHUNK)
    while chunk := list(islice(stored, CHUNK)):
        permits = stored_now({one.permit_id for one in chunk if one.sheet})
        for one in chunk:
            # a step that owes no verdict is upon no sheet, and has no digest to hold it to
            upon = one.digest if one.sheet or one.digest else digest("")
            yield Signed(KIND, one.permit_id, str(one), told(one), one.sheet, upon, astray(one.sheet, permits.get(one.permit_id)))
