"""The files of records, and whether they are what they were."""

from collections.abc import Iterator

from records.files.models import Attachment
from records.files.store import intact, place
from records.ledger.chain import parse
from records.ledger.models import Entry

CHUNK = 500


def of(kind: str, subject: str) -> list[Attachment]:
    """The record's files, the struck ones among them, as they came."""
    return list(Attachment.objects.filter(kind=kind, subject=subject).order_by("recorded_at", "key"))


def faults() -> Iterator[str]:
    """What is wrong with kept files: gone, altered, or not as the history tells."""
    entries = Entry.objects.filter(act__endswith=".file").order_by("seq").values_list("body", flat=True)
    told = {after["file"]: after["sha256"] for after in (parse(body)["after"] for body in entries.iterator(chunk_size=CHUNK))}
    for one in Attachment.objects.order_by("key").iterator(chunk_size=CHUNK):
        if told.pop(one.key, None) != one.sha256:
            yield f"file {one.key} ({one.name}): the history has no such file"
        elif not intact(one.sha256):
            yield f"file {one.key} ({one.name}) of {one.kind} {one.subject}: its content is {'not what it was' if place(one.sha256).exists() else 'gone'}"
    yield from (f"the history tells of file {key}, which is not on record" for key in told)
