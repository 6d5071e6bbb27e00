"""What the history costs: `pytest tests/bench/bench_ledger.py`. Ratios of processor time, so that a busy machine says the same."""

import sys
from contextlib import contextmanager
from datetime import UTC, datetime
from time import process_time

import pytest
from django.db import connection, transaction

from records.ledger import facts
from records.ledger.actions import errand
from records.ledger.chain import COMMAND_LINE, GENESIS, Link, forged
from records.ledger.guards import all_guards
from records.ledger.models import Entry
from records.ledger.triggers import lift_guards

AT = datetime(2026, 3, 4, 16, tzinfo=UTC)
MANY, SOME = 20_000, 500
AFTER = {"title": "Locating, two days", "valid_months": 36, "authorises": ["passive_power", "passive_radio", "induction", "clamp"], "note": "x" * 200}


@pytest.fixture
def say(capsys):
    def said(what: str, value: float, unit: str) -> None:
        with capsys.disabled():
            sys.stdout.write(f"\n{connection.vendor}: {what}: {value:,.2f} {unit}")

    return said


@contextmanager
def timed(seconds: list[float]):
    begun = process_time()
    yield
    seconds.append(process_time() - begun)


def plain_rows(count: int) -> list[Entry]:
    """Rows of the same shape and size, made beforehand, for a table without guards."""
    bare = Link(0, "course.add", "", "command line", "course", "C-1", "C-1", "2026-03-04", AT, "", "", GENESIS, "")
    made = forged(bare, None, AFTER)
    return [Entry(**made._replace(seq=seq, prev=f"{seq:064x}", hash=f"{seq:064x}")._asdict()) for seq in range(1, count + 1)]


@pytest.mark.django_db
def test_many_entries_in_one_errand_against_plain_inserts(say):
    plain, chained = [], []
    with transaction.atomic():
        lift_guards(connection, all_guards())
        rows = plain_rows(MANY)
        with timed(plain):
            Entry.objects.bulk_create(rows, batch_size=1000)
        transaction.set_rollback(True)
    with timed(chained), errand(COMMAND_LINE, AT) as underway:
        for number in range(MANY):
            underway.write("course.add", "course", f"C-{number}", f"C-{number}", AT, after=AFTER)
    say("an entry against a plain row, many at once", chained[0] / plain[0], "times")
    say("entries written", MANY / chained[0], "a second")
    assert chained[0] < 4 * plain[0]


@pytest.mark.django_db(transaction=True)
def test_single_errands_against_plain_transactions(say):
    plain, chained = [], []
    with timed(chained):
        for number in range(SOME):
            with errand(COMMAND_LINE, AT) as underway:
                underway.write("course.add", "course", f"C-{number}", f"C-{number}", AT, after=AFTER)
    lift_guards(connection, all_guards())
    Entry.objects.all().delete()
    rows = plain_rows(SOME)
    with timed(plain):
        for row in rows:
            row.save(force_insert=True)
    say("an errand of one entry against one plain row, each committed", chained[0] / plain[0], "times")
    assert chained[0] < 8 * plain[0]


@pytest.mark.django_db
def test_verifying_against_only_reading(say):
    with errand(COMMAND_LINE, AT) as underway:
        for number in range(MANY):
            underway.write("course.add", "course", f"C-{number}", f"C-{number}", AT, after=AFTER)
    reading, verifying = [], []
    with timed(reading):
        for _ in Entry.objects.order_by("seq").values_list(*Link._fields).iterator(chunk_size=2000):
            pass
    with timed(verifying):
        assert facts.walked().length == MANY
    say("verifying against only reading", verifying[0] / reading[0], "times")
    say("entries verified", MANY / verifying[0], "a second")
    assert verifying[0] < 20 * reading[0]
