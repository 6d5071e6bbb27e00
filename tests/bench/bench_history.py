"""What finding costs in a long history: `pytest tests/bench/bench_history.py`. Ratios to a page of all entries, at a million of them."""

import sys
from time import perf_counter

import pytest
from django.db import connection
from django.db.models import Q

from records.ledger.facts import kinds
from records.ledger.guards import all_guards
from records.ledger.models import Entry
from records.ledger.triggers import lift_guards
from records.ledger.views import PAGE, _like

MANY = 1_000_000
NUMBERS = {
    "sqlite": f"WITH RECURSIVE n(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM n WHERE n < {MANY}) ",
    "postgresql": f"WITH n AS (SELECT n FROM generate_series(1, {MANY}) AS n) ",
}
# somebody and something rare stand among the oldest alone; the rest is spread over 20 acts and 200 people
ROWS = """
INSERT INTO ledger_entry (seq, act, actor_id, actor_name, kind, subject_id, label, happened, recorded_at, why, body, prev, hash)
{numbers} SELECT n, CASE WHEN n <= 40 THEN 'site.opened' ELSE 'award.act_' || (n % 20) END, CASE WHEN n <= 40 THEN 'P-RARE' ELSE 'P-' || (n % 200) END,
CASE WHEN n <= 40 THEN 'Rhea Fenn' ELSE 'Person number ' || (n % 200) END, 'award', 'A-' || (n % 5000), 'A', '2027-03-04', '2027-03-04 08:30:00+00:00', '',
'{{"after":null,"before":null}}', 'p' || n, 'h' || n FROM n
"""
ASKED = [
    {"act": "opened"},
    {"actor": "P-RARE"},
    {"actor": "rhea"},
    {"act": "act_7"},
    {"act": "act_"},
    {"actor": "P-17"},
    {"actor": "number 17"},
    {"kind": "award"},
]


@pytest.fixture
def say(capsys):
    def said(what, value, unit):
        with capsys.disabled():
            sys.stdout.write(f"\n{connection.vendor}: {what}: {value:,.2f} {unit}")

    return said


def seconds(work):
    """The least of some tries."""
    tries = []
    for _ in range(3):
        begun = perf_counter()
        work()
        tries.append(perf_counter() - begun)
    return min(tries)


def scanned(asked):
    """The same without an index: every entry is looked at until a page is full."""
    rows = Entry.objects.order_by("-seq")
    if by := asked.get("actor"):
        rows = rows.filter(Q(actor_id=by) | Q(actor_name__icontains=by))
    return rows.filter(act__contains=asked["act"]) if "act" in asked else rows


@pytest.mark.django_db
def test_a_page_of_a_million_entries_is_found_as_quickly_whatever_is_asked(say):
    lift_guards(connection, all_guards())
    with connection.cursor() as cursor:
        cursor.execute(ROWS.format(numbers=NUMBERS[connection.vendor]))
        cursor.execute("ANALYZE" if connection.vendor == "postgresql" else "SELECT 1")
    whole = seconds(lambda: list(Entry.objects.order_by("-seq")[: PAGE + 1]))
    say("the kinds of entries against a page of all", seconds(kinds) / whole, "times")
    found = {}
    for asked in ASKED:
        found[str(asked)] = seconds(lambda asked=asked: list(_like(asked)[: PAGE + 1]))
        say(f"a page of {asked} against one of all", found[str(asked)] / whole, "times")
        say("  looking at every entry against that", seconds(lambda asked=asked: list(scanned(asked)[: PAGE + 1])) / found[str(asked)], "times")
    assert max(found.values()) < 60 * whole
