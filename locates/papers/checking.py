"""Whether a file is a paper that was issued here: its bytes, the history, its seal, and whether a later one has replaced it."""

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from locates.papers.facts import in_history
from locates.papers.models import Paper
from locates.papers.seal import Found, Unusable, own_seal, seal_in
from records.ledger.chain import instant


@dataclass(frozen=True, slots=True)
class Checked:
    """`good`: it is what was issued, and the latest of its permit. `says`: all that was found, a sentence each."""

    good: bool
    says: tuple[str, ...]


def checked(data: bytes, at: datetime) -> Checked:
    one = Paper.objects.filter(sha256=sha256(data).hexdigest()).order_by("pk").last()
    return _issued(one, seal_in(data)) if one else Checked(False, ("No paper that was issued here has these bytes.", _foreign(seal_in(data), at)))


def _issued(one: Paper, found: Found | None) -> Checked:
    says = [f"It is the paper of permit {one.permit_id}, version {one.version}, printed {instant(one.printed_at)}, byte for byte.", _upon(one)]
    good = in_history(one)
    if not good:
        says.append("The history does not tell of it: run manage.py verify.")
    if one.sealed_by:
        sound = found is not None and found.intact and found.whole and found.fingerprint == one.sealed_by
        good &= sound
        says.append(f"Its seal {'is intact, by' if sound else 'does not hold; it should be by'} the certificate with SHA-256 {one.sealed_by}.")
    else:
        says.append("It was issued without a seal.")
    latest = Paper.objects.filter(permit=one.permit_id).order_by("version").last()
    if latest != one:
        return Checked(False, (*says, f"REPLACED: version {latest.version}, printed {instant(latest.printed_at)}, is the latest."))
    return Checked(good, (*says, "It is the latest. Whether its permit holds now is told at the address that it bears."))


def _upon(one: Paper) -> str:
    return f"The sheet that it prints has the digest {one.digest}."


def _foreign(found: Found | None, at: datetime) -> str:
    """What the seal of a file tells that was not issued here as it is."""
    if found is None:
        return "It bears no seal that can be read."
    whose = "a seal of ours" if found.fingerprint in _ours(at) else f"the seal of somebody else (certificate with SHA-256 {found.fingerprint})"
    if not found.intact:
        return f"ALTERED: it bears {whose}, which is broken."
    return f"It bears {whose}, which is intact{'' if found.whole else '; but something was added after it'}."


def _ours(at: datetime) -> set[str]:
    known = set(Paper.objects.exclude(sealed_by="").values_list("sealed_by", flat=True).distinct())
    try:
        own = own_seal(at)
    except Unusable:
        own = None
    return known | ({own.fingerprint} if own else set())
