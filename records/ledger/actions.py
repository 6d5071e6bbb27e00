"""The one way to write: an errand, whose entries stand or fall with what it did."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime
from typing import Any

from django.db import transaction

from records.ledger.chain import Actor, Link, forged, moment
from records.ledger.models import Entry, Head

BATCH = 1000


class NothingWritten(RuntimeError):
    """An errand ended without an entry: what it did, if anything, is undone."""


class Errand:
    """One actor's acts in one transaction, each of them an entry. Made by `errand` alone."""

    def __init__(self, by: Actor, at: datetime, head: Head) -> None:
        self.by, self.at, self.head = by, at, head
        self.waiting: list[Link] = []
        self.written = 0

    def write(
        self,
        act: str,
        kind: str,
        id: str,
        label: str,
        happened: date | datetime,
        before: Any = None,
        after: Any = None,
        why: str = "",
    ) -> None:
        """Add an entry on the record `kind` `id`, printed as `label`. `before` and `after` are plain JSON data. Raises NotCanonical for what is not."""
        bare = Link(
            self.head.seq + 1,
            act,
            self.by.id,
            self.by.name,
            kind,
            id,
            label,
            moment(happened),
            self.at,
            why,
            body="",
            prev=self.head.hash,
            hash="",
        )
        made = forged(bare, before, after)
        self.waiting.append(made)
        self.written += 1
        self.head.seq, self.head.hash = made.seq, made.hash
        if len(self.waiting) >= BATCH:
            self.flush()

    def flush(self) -> None:
        """Send what waits to the database, inside the errand's transaction."""
        Entry.objects.bulk_create([Entry(**one._asdict()) for one in self.waiting])
        self.waiting.clear()

    def close(self, may_be_empty: bool) -> None:
        if not self.written:
            if not may_be_empty:
                raise NothingWritten(f"{self.by.name} did something without an entry")
            return
        self.flush()
        self.head.save(update_fields=["seq", "hash"])


@contextmanager
def errand(by: Actor, at: datetime, *, may_be_empty: bool = False) -> Iterator[Errand]:
    """Open a transaction, queue at the chain's head, and give the errand in which every act is written down.

    All writers stand in this one queue, so what is read inside cannot be changed meanwhile. An error leaves nothing behind.
    Raises NothingWritten where no entry came, unless it may be so, and RuntimeError inside another transaction.
    `at` is kept as given: where a machine's clock ran back, the order of the entries tells, not their instants.
    """
    with transaction.atomic(durable=True):
        underway = Errand(by, at, Head.objects.select_for_update().get())
        yield underway
        underway.close(may_be_empty)
