"""What the history must say of every signature, and the stored signatures to hold against it."""

from collections.abc import Iterator

from locates.permits.models import SignOff
from records.ledger.chain import digest, instant
from records.ledger.facts import Signed

ACT, KIND = "permit.sign", "permit"
CHUNK = 500


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
    }


def signatures() -> Iterator[Signed]:
    """Every stored signature, one chunk at a time."""
    for one in SignOff.objects.order_by("pk").iterator(chunk_size=CHUNK):
        yield Signed(KIND, one.permit_id, str(one), told(one), one.sheet, one.digest)
