"""What the history says of itself: whether its chain holds, and whether what was signed is still what was written down."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import connection
from django.utils.module_loading import import_string

from records.ledger.chain import Link, Walked, canonical, digest, parse, walk
from records.ledger.guards import all_guards
from records.ledger.models import Entry, Head
from records.ledger.triggers import gaps
from records.rules.dates import day_says, instant_says

CHUNK = 2000


class Signed(NamedTuple):
    """A stored signature as an app gives it to be checked: on which record, printed how, what its entry must say, the signed text and its digest.

    `astray`: what of the signed records is no longer stored as it was signed.
    """

    kind: str
    id: str
    label: str
    after: dict[str, str]
    text: str
    digest: str
    astray: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """An entry as people read it: when it happened and was recorded, by whom, what was done, why, and column by column what was there before and after."""

    seq: int
    happened: str
    when: str
    by: str
    did: str
    why: str
    changes: tuple[tuple[str, str, str], ...]


def told_of(kind: str, id: str, zone: ZoneInfo, most: int = 20) -> list[Told]:
    """The latest entries about a record, the newest first."""
    return [as_told(one, zone) for one in Entry.objects.filter(kind=kind, subject_id=id).order_by("-seq")[:most]]


def as_told(entry: Entry, zone: ZoneInfo) -> Told:
    body = parse(entry.body)
    before, after = (one if isinstance(one, dict) else {} for one in (body.get("before"), body.get("after")))
    changes = tuple((name.replace("_", " "), shown(before.get(name)), shown(after.get(name))) for name in dict.fromkeys((*before, *after)))
    did = entry.act.removeprefix(f"{entry.kind}.").replace("_", " ").replace(".", ", ")
    return Told(entry.seq, happened_says(entry.happened, zone), instant_says(entry.recorded_at, zone), entry.actor_name, did, entry.why, changes)


def kinds() -> list[str]:
    """What entries are about, by name."""
    return each("kind")


def each(column: str) -> list[str]:
    """Every value that entries have there, in order. Read off the column's index from each to the next, so a million entries cost no more than ten."""
    least = f"SELECT MIN({column}) FROM {Entry._meta.db_table}"
    steps = f"WITH RECURSIVE step(value) AS ({least} UNION ALL SELECT ({least} WHERE {column} > step.value) FROM step WHERE step.value IS NOT NULL)"
    with connection.cursor() as cursor:
        cursor.execute(f"{steps} SELECT value FROM step WHERE value IS NOT NULL")
        return [value for (value,) in cursor.fetchall()]


def happened_says(text: str, zone: ZoneInfo) -> str:
    """When a thing happened, in words: a day of the site's as it stands, an instant by the zone's clocks."""
    try:
        return day_says(date.fromisoformat(text)) if len(text) == len("2027-03-04") else instant_says(datetime.fromisoformat(text), zone)
    except ValueError:
        return text


def shown(value: Any) -> str:
    """A value of an entry as people read it: lists by their parts, what has parts of its own with their names."""
    if isinstance(value, list):
        return ", ".join(map(shown, value))
    if isinstance(value, dict):
        return "; ".join(f"{name.replace('_', ' ')}: {shown(one)}" for name, one in value.items())
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else value if isinstance(value, str) else canonical(value)


def walked() -> Walked:
    """The whole chain, followed one chunk of entries at a time."""
    return walk(map(Link._make, Entry.objects.order_by("seq").values_list(*Link._fields).iterator(chunk_size=CHUNK)))


def head_faults(chain: Walked) -> Iterator[str]:
    """Is the head the last entry? Entries that came in since the walk are no fault."""
    head = Head.objects.first()
    if head is None:
        yield "the head of the chain is gone"
    elif head.seq < chain.length or (head.seq and not Entry.objects.filter(seq=head.seq, hash=head.hash).exists()):
        yield f"the head of the chain says entry {head.seq}, which is not the last one: entries were cut off or slipped in"


def guard_faults() -> Iterator[str]:
    yield from gaps(connection, all_guards())


def signature_faults() -> Iterator[str]:
    """Every signature hashes to its digest and is as the history tells; and each that the history tells of is stored. Only for a chain that holds."""
    for act, path in settings.LEDGER_WITNESSES.items():
        yield from _witnessed(act, import_string(path))


def faults_beside() -> Iterator[str]:
    """What is wrong with what the history speaks of and does not hold itself, such as files. Only for a chain that holds."""
    for path in settings.LEDGER_BESIDE:
        yield from import_string(path)()


def _witnessed(act: str, signatures: Callable[[], Iterator[Signed]]) -> Iterator[str]:
    told = _told(act)
    for one in signatures():
        if digest(one.text) != one.digest:
            yield f"{one.label}: what is stored is not what was signed"
        yield from (f"{one.label}: {what} is not stored as it was signed" for what in one.astray)
        if told.pop((one.kind, one.id, canonical(one.after)), None) is None:
            yield f"{one.label}: the history has no such signature"
    yield from (f"entry {seq} tells of a signature that is not stored: {label}" for seq, label in told.values())


def _told(act: str) -> dict[tuple[str, str, str], tuple[int, str]]:
    """The signatures that the history tells of: record and what the entry says, to entry and label."""
    entries = Entry.objects.filter(act=act).order_by("seq").values_list("kind", "subject_id", "seq", "label", "body")
    return {(kind, subject, canonical(parse(body)["after"])): (seq, label) for kind, subject, seq, label, body in entries.iterator(chunk_size=CHUNK)}
