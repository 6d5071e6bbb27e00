"""Files kept with records."""

import secrets
from datetime import datetime

from records.files.models import Attachment
from records.files.rules.media import HEAD, media_of, tidy
from records.files.store import Upload, put
from records.ledger.actions import Errand, errand
from records.ledger.chain import Actor

KEY_BYTES = 18


def keep(underway: Errand, kind: str, subject: str, label: str, what: str, upload: Upload, media: str = "") -> Attachment:
    """Keep a file with a record, inside the errand that may be writing the record too. The form has looked at the file before.

    `media`: what it is, where its first bytes do not tell.
    """
    head = next(iter(upload.chunks()))[:HEAD]
    digest = put(upload)
    made = Attachment.objects.create(
        key=secrets.token_urlsafe(KEY_BYTES),
        kind=kind,
        subject=subject,
        what=what,
        name=tidy(upload.name),
        media_type=media or media_of(head),
        size=upload.size,
        sha256=digest,
        by_id=underway.by.id,
        by_name=underway.by.name,
        recorded_at=underway.at,
    )
    underway.write(f"{kind}.file", kind, subject, label, underway.at, after=told(made))
    return made


def told(one: Attachment) -> dict[str, str]:
    """What the history says of a file."""
    return {"file": one.key, "what": one.what, "name": one.name, "sha256": one.sha256, "size": str(one.size)}


def strike(key: str, why: str, by: Actor, at: datetime) -> Attachment:
    """Say that a file was a mistake, and why. It stays, struck through. Raises Attachment.DoesNotExist."""
    with errand(by, at) as underway:
        found = Attachment.objects.get(key=key, struck_at=None)
        found.struck_at, found.struck_because = at, why
        found.save(update_fields=["struck_at", "struck_because"])
        underway.write(f"{found.kind}.file.struck", found.kind, found.subject, found.name, at, after={"file": key}, why=why)
    return found
