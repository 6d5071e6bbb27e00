"""The files of records, and whether they are what they were."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from django.db.models import QuerySet

from records.files.models import Attachment
from records.files.store import intact, place
from records.ledger.chain import parse
from records.ledger.models import Entry

CHUNK = 500
ENTRIES = Entry.objects.filter(act__endswith=".file")


def of(kind: str, subject: str) -> list[Attachment]:
    """The record's files, the struck ones among them, as they came."""
    return list(Attachment.objects.filter(kind=kind, subject=subject).order_by("recorded_at", "key"))


def current(kind: str, subjects: Iterable[str]) -> dict[str, list[Attachment]]:
    """The files of some records that are not struck, by record, as they came. One query."""
    found: dict[str, list[Attachment]] = defaultdict(list)
    for one in Attachment.objects.filter(kind=kind, subject__among=subjects, struck_at=None).order_by("recorded_at", "key"):
        found[one.subject].append(one)
    return found


def count(kind: str, subject: str, what: str) -> int:
    """How many files of this sort the record has, those struck left out."""
    return Attachment.objects.filter(kind=kind, subject=subject, what=what, struck_at=None).count()


def faults() -> Iterator[str]:
    """What is wrong with kept files: gone, altered, or not as the history tells. A batch at a time, so that memory stays bounded."""
    for some in _batches(Attachment.objects.order_by("key")):
        told = _told(ENTRIES.filter(subject_id__in={one.subject for one in some}), {one.key for one in some})
        for one in some:
            if told.get(one.key) != one.sha256:
                yield f"file {one.key} ({one.name}): the history has no such file"
            elif not intact(one.sha256):
                yield f"file {one.key} ({one.name}) of {one.kind} {one.subject}: its content is {'not what it was' if place(one.sha256).exists() else 'gone'}"
    for entries in _batches(ENTRIES.order_by("seq")):
        keys = [parse(one.body)["after"]["file"] for one in entries]
        stored = set(Attachment.objects.filter(key__among=keys).values_list("key", flat=True))
        yield from (f"the history tells of file {key}, which is not on record" for key in keys if key not in stored)


def _batches(rows: QuerySet) -> Iterator[list[Any]]:
    """The rows, some at a time: what is looked up for them fits in memory, however many there are."""
    waiting = iter(rows.iterator(chunk_size=CHUNK))
    while some := list(islice(waiting, CHUNK)):
        yield some


def _told(entries: QuerySet[Entry], keys: set[str]) -> dict[str, str]:
    """The digests that the history tells of these files."""
    told = (parse(body)["after"] for body in entries.order_by("seq").values_list("body", flat=True).iterator(chunk_size=CHUNK))
    return {after["file"]: after["sha256"] for after in told if after["file"] in keys}
