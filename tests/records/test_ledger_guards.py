"""The database itself refuses to change the history, whoever asks and however."""

from datetime import UTC, datetime

import pytest
from django.apps import apps
from django.core.management import call_command
from django.core.management.sql import emit_post_migrate_signal, emit_pre_migrate_signal
from django.db import DatabaseError, IntegrityError, connection, migrations, models, transaction
from django.db.migrations.state import ProjectState

from records.ledger import checks
from records.ledger.actions import errand
from records.ledger.chain import GENESIS, Actor
from records.ledger.guards import all_guards
from records.ledger.models import Entry, Head
from records.ledger.triggers import gaps, lift_guards, raise_guards

AT = datetime(2026, 3, 4, 16, tzinfo=UTC)
SQLITE = connection.vendor == "sqlite"
only_sqlite = pytest.mark.skipif(not SQLITE, reason="SQLite's own words")
only_postgresql = pytest.mark.skipif(SQLITE, reason="PostgreSQL's own words")
COLUMNS = "seq, act, actor_id, actor_name, kind, subject_id, label, happened, recorded_at, why, body, prev, hash"
COPIED = "SELECT {seq}, 'forged', actor_id, actor_name, kind, subject_id, label, happened, recorded_at, why, body, {prev}, {hash} FROM ledger_entry"

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def three_entries() -> None:
    with errand(Actor("P-01", "Kim Aalto"), AT) as underway:
        for name in ("C-01", "C-02", "C-03"):
            underway.write("course.add", "course", name, name, AT)


def run(sql: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql)


def refused(act, words: str) -> None:
    """The act fails with these words, and the three entries stand as they stood."""
    before = list(Entry.objects.values())
    with pytest.raises(IntegrityError, match=words), transaction.atomic():
        act()
    assert list(Entry.objects.values()) == before


ADDED_ONLY = "never changed or removed"


def test_saving_an_entry_anew_is_refused():
    entry = Entry.objects.get(seq=2)
    entry.why = "as an afterthought"
    refused(entry.save, ADDED_ONLY)


@pytest.mark.parametrize(
    "act",
    [
        lambda: Entry.objects.filter(seq=2).update(why="as an afterthought"),
        lambda: Entry.objects.get(seq=2).delete(),
        lambda: Entry.objects.all().delete(),
        lambda: Entry.objects.bulk_update([Entry(seq=2, why="as an afterthought")], ["why"]),
        lambda: run("UPDATE ledger_entry SET act = act WHERE seq = 3"),
        lambda: run("DELETE FROM ledger_entry WHERE seq = 3"),
        lambda: run("DELETE FROM ledger_entry"),
    ],
)
def test_changing_or_removing_entries_is_refused(act):
    refused(act, ADDED_ONLY)


@only_sqlite
@pytest.mark.parametrize(
    ("verb", "seq", "prev", "hash"),
    [
        ("INSERT OR REPLACE", "2", "prev", "hash"),
        ("REPLACE", "3", "prev", "hash"),
        ("INSERT OR REPLACE", "4", "(SELECT hash FROM ledger_entry WHERE seq = 3)", "hash"),
        ("INSERT OR REPLACE", "4", "prev", "'a'"),
    ],
)
def test_replacing_an_entry_by_any_of_its_keys_is_refused(verb, seq, prev, hash):
    refused(lambda: run(f"{verb} INTO ledger_entry ({COLUMNS}) {COPIED.format(seq=seq, prev=prev, hash=hash)} WHERE seq = 2"), "follows the last one")


@only_sqlite
def test_update_or_replace_is_refused():
    refused(lambda: run("UPDATE OR REPLACE ledger_entry SET seq = 1 WHERE seq = 2"), ADDED_ONLY)


@pytest.mark.parametrize(
    ("seq", "prev", "hash"),
    [
        ("5", "(SELECT hash FROM ledger_entry WHERE seq = 3)", "'a'"),
        ("4", "hash", "'a'"),
        ("4", f"'{GENESIS}'", "'a'"),
        ("0", f"'{GENESIS}'", "'a'"),
        ("2", "prev", "'a'"),
    ],
)
def test_an_entry_that_leaves_a_gap_or_forks_the_chain_is_refused(seq, prev, hash):
    refused(lambda: run(f"INSERT INTO ledger_entry ({COLUMNS}) {COPIED.format(seq=seq, prev=prev, hash=hash)} WHERE seq = 2"), "follows the last one")


def test_turning_an_insert_into_an_update_is_refused():
    insert = f"INSERT INTO ledger_entry ({COLUMNS}) {COPIED.format(seq='2', prev='prev', hash='hash')} WHERE seq = 2"
    refused(lambda: run(f"{insert} ON CONFLICT (seq) DO UPDATE SET act = 'forged'"), "follows the last one")


@only_postgresql
@pytest.mark.parametrize("table", ["ledger_entry", "ledger_head"])
def test_truncating_the_history_is_refused(table):
    refused(lambda: run(f"TRUNCATE {table} CASCADE"), "of the history")


@only_postgresql
def test_posing_as_a_replica_opens_no_door():
    refused(lambda: run("SET LOCAL session_replication_role = replica; UPDATE ledger_entry SET why = 'x'"), ADDED_ONLY)


@pytest.mark.parametrize(
    ("act", "words"),
    [
        (lambda: Head.objects.all().delete(), "head of the history stays"),
        (lambda: Head.objects.update(seq=2, hash=Entry.objects.get(seq=2).hash), "moves on"),
        (lambda: Head.objects.update(seq=3, hash=GENESIS), "moves on"),
        (lambda: Head.objects.update(seq=4), "moves on"),
        (lambda: run(f"INSERT INTO ledger_head (id, seq, hash) VALUES (2, 0, '{GENESIS}')"), "one head"),
        (lambda: run(f"INSERT INTO ledger_head (id, seq, hash) VALUES (1, 0, '{GENESIS}')"), "one head"),
    ],
)
def test_the_head_stays_and_only_moves_on(act, words):
    refused(act, words)
    assert Head.objects.get().seq == 3


def test_a_missing_or_blunted_guard_is_named():
    lift_guards(connection, [guard for guard in all_guards() if guard.name == "ledger_entry_no_update"])
    assert gaps(connection, all_guards()) == ["the guard ledger_entry_no_update is missing"]
    assert [said.id for said in checks.guards_stand(None, databases=["default"])] == ["ledger.W002"]
    raise_guards(connection, all_guards())
    assert gaps(connection, all_guards()) == []


def test_a_guard_that_refuses_nothing_any_more_is_named():
    if SQLITE:
        run("DROP TRIGGER ledger_entry_no_delete")
        run("CREATE TRIGGER ledger_entry_no_delete BEFORE DELETE ON ledger_entry WHEN FALSE BEGIN SELECT RAISE(ABORT, 'no'); END")
    else:
        run("CREATE OR REPLACE FUNCTION ledger_entry_no_delete() RETURNS trigger LANGUAGE plpgsql AS $$BEGIN RETURN OLD; END$$")
    assert gaps(connection, all_guards()) == ["the guard ledger_entry_no_delete was altered"]
    raise_guards(connection, all_guards())
    assert gaps(connection, all_guards()) == []


@only_postgresql
@pytest.mark.parametrize("how", ["DISABLE TRIGGER ledger_entry_no_delete", "ENABLE TRIGGER ledger_entry_no_delete"])
def test_a_guard_put_to_sleep_is_named(how):
    run(f"ALTER TABLE ledger_entry {how}")
    assert gaps(connection, all_guards()) == ["the guard ledger_entry_no_delete was altered"]


@pytest.mark.django_db(transaction=True)
def test_a_run_of_migrations_ends_with_every_guard_raised():
    lift_guards(connection, all_guards())
    call_command("migrate", verbosity=0)
    assert gaps(connection, all_guards()) == []


def remake(column: models.Field) -> None:
    """Alter a column of the signatures, for which SQLite drops the table and renames a new one."""
    before, after = ProjectState.from_apps(apps), ProjectState.from_apps(apps)
    alter = migrations.AlterField("signoff", "declaration", column)
    alter.state_forwards("permits", after)
    with connection.schema_editor() as editor:
        alter.database_forwards("permits", editor, before, after)


@only_sqlite
@pytest.mark.django_db(transaction=True)
def test_a_table_cannot_be_remade_under_standing_guards_so_they_are_lifted_before_migrations():
    with pytest.raises(DatabaseError, match="error in trigger"):
        remake(models.CharField(max_length=9))
    emit_pre_migrate_signal(verbosity=0, interactive=False, db="default")
    remake(models.CharField(max_length=9))
    remake(models.TextField())
    emit_post_migrate_signal(verbosity=0, interactive=False, db="default")
    assert gaps(connection, all_guards()) == []
