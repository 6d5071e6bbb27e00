"""The papers of a permit, and whether all of them are what they were when they were issued."""

from collections.abc import Iterator
from itertools import islice

from locates.papers.models import Paper
from records.files.store import intact
from records.ledger.chain import instant, parse
from records.ledger.models import Entry

ACT, KIND = "permit.print", "permit"
CHUNK = 500


def papers_at(key: str) -> list[Paper]:
    """The papers with this key, the latest last; none for a key that is nobody's."""
    return list(Paper.objects.filter(key=key).select_related("permit__site", "permit__issuer").order_by("version"))


def told(one: Paper) -> dict[str, str | int]:
    """What the entry of a paper says after the act. The key is left out: whoever reads the history need not know the address."""
    return {
        "version": one.version,
        "digest": one.digest,
        "printed_at": instant(one.printed_at),
        "person": one.person_id,
        "sha256": one.sha256,
        "sealed_by": one.sealed_by,
    }


def faults() -> Iterator[str]:
    """What is wrong with issued papers: gone, altered, or not as the history tells. A chunk at a time, so that memory stays bounded."""
    rows = Paper.objects.order_by("pk").iterator(chunk_size=CHUNK)
    while some := list(islice(rows, CHUNK)):
        entries = _entries({one.permit_id for one in some})
        for one in some:
            if entries.get(str(one)) != told(one):
                yield f"paper {one}: the history does not tell of it so"
            elif not intact(one.sha256):
                yield f"paper {one}: its file is gone or is not what it was"
    labels = Entry.objects.filter(act=ACT).order_by("seq").values_list("subject_id", "label").iterator(chunk_size=CHUNK)
    while some := list(islice(labels, CHUNK)):
        stored = set(map(str, Paper.objects.filter(permit__permit__among={permit for permit, _ in some})))
        yield from (f"the history tells of paper {label}, which is not on record" for _, label in some if label not in stored)


def in_history(one: Paper) -> bool:
    """Does the history tell of the paper as it is stored?"""
    return _entries({one.permit_id}).get(str(one)) == told(one)


def _entries(permits: set[str]) -> dict[str, dict[str, str | int]]:
    """What the history says of the papers of these permits, by paper."""
    found = Entry.objects.filter(kind=KIND, act=ACT, subject_id__in=permits).order_by("seq").values_list("label", "body")
    return {label: parse(body)["after"] for label, body in found.iterator(chunk_size=CHUNK)}
