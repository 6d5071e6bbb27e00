"""What `manage.py check` says about the ground that the history stands on."""

import sqlite3
from collections.abc import Sequence
from typing import Any

from django.apps import AppConfig
from django.conf import settings
from django.core.checks import CheckMessage, Warning
from django.db import connections

from records.ledger.guards import all_guards
from records.ledger.triggers import gaps

FIXED_IN = (3, 51, 3)
FIXED_BRANCHES = ((3, 44, 6), (3, 50, 7))


def has_wal_fault(version: tuple[int, ...]) -> bool:
    """Does this SQLite carry the fault of its write-ahead log that can spoil a file (3.7.0 to 3.51.2, some branches mended earlier)?"""
    mended = any(version[:2] == branch[:2] and version >= branch for branch in FIXED_BRANCHES)
    return (3, 7, 0) <= version < FIXED_IN and not mended


def wal_is_sound(app_configs: Sequence[AppConfig] | None, **_: Any) -> list[CheckMessage]:
    options = [one.get("OPTIONS", {}) for one in settings.DATABASES.values() if one["ENGINE"].endswith("sqlite3")]
    in_wal = any("journal_mode=wal" in one.get("init_command", "").lower() for one in options)
    if not in_wal or not has_wal_fault(sqlite3.sqlite_version_info):
        return []
    return [
        Warning(
            f"SQLite {sqlite3.sqlite_version} has a fault in its write-ahead log that can, rarely, spoil the file.",
            hint="Install pysqlite3, or an SQLite from 3.51.3 on, or use PostgreSQL.",
            id="ledger.W001",
        )
    ]


def guards_stand(app_configs: Sequence[AppConfig] | None, databases: Sequence[str] | None = None, **_: Any) -> list[CheckMessage]:
    faults = [fault for alias in databases or () for fault in gaps(connections[alias], all_guards())]
    return [Warning(f"In the database, {fault}.", hint="Run manage.py migrate, then manage.py verify.", id="ledger.W002") for fault in faults]
