"""What `manage.py check` says about the ground that the history stands on."""

from types import SimpleNamespace

import pytest

from records.ledger import checks

WAL = {"ENGINE": "django.db.backends.sqlite3", "OPTIONS": {"init_command": "PRAGMA journal_mode=WAL;"}}
OTHERS = [
    {"ENGINE": "django.db.backends.sqlite3", "OPTIONS": {"init_command": "PRAGMA journal_mode=TRUNCATE;"}},
    {"ENGINE": "django.db.backends.sqlite3"},
    {"ENGINE": "django.db.backends.postgresql"},
]


# SQLite's own release notes, seen at second hand: the fault is in 3.7.0 to 3.51.2, mended in 3.51.3, 3.50.7 and 3.44.6
@pytest.mark.parametrize("version", [(3, 7, 0), (3, 40, 1), (3, 44, 5), (3, 45, 0), (3, 50, 6), (3, 51, 0), (3, 51, 2)])
def test_versions_with_the_fault_are_known(version):
    assert checks.has_wal_fault(version)


@pytest.mark.parametrize("version", [(3, 6, 23), (3, 44, 6), (3, 44, 9), (3, 50, 7), (3, 51, 3), (3, 52, 0), (4, 0, 0)])
def test_versions_without_the_fault_are_known(version):
    assert not checks.has_wal_fault(version)


def said_of(version, database, monkeypatch):
    monkeypatch.setattr(checks.sqlite3, "sqlite_version_info", version)
    monkeypatch.setattr(checks, "settings", SimpleNamespace(DATABASES={"default": database}))
    return [said.id for said in checks.wal_is_sound(None)]


def test_a_faulty_sqlite_in_wal_mode_is_warned_of(monkeypatch):
    assert said_of((3, 40, 1), WAL, monkeypatch) == ["ledger.W001"]


@pytest.mark.parametrize("database", OTHERS)
def test_a_faulty_sqlite_elsewhere_is_not_warned_of(monkeypatch, database):
    assert said_of((3, 40, 1), database, monkeypatch) == []


def test_a_sound_sqlite_in_wal_mode_is_not_warned_of(monkeypatch):
    assert said_of((3, 53, 4), WAL, monkeypatch) == []
