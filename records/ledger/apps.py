"""The app's name in the house, and the guards' places around a migration."""

from typing import Any

from django.apps import AppConfig
from django.core import checks
from django.db import connections
from django.db.models.signals import post_migrate, pre_migrate

from records.ledger.checks import guards_stand, wal_is_sound
from records.ledger.guards import all_guards
from records.ledger.triggers import lift_guards, raise_guards


def lift(using: str, **_: Any) -> None:
    if connections[using].vendor == "sqlite":
        lift_guards(connections[using], all_guards())


def raise_again(using: str, **_: Any) -> None:
    raise_guards(connections[using], all_guards())


class LedgerConfig(AppConfig):
    name = "records.ledger"
    label = "ledger"

    def ready(self) -> None:
        # The one place where the house listens to a signal: only these two know when a run of migrations begins and ends.
        pre_migrate.connect(lift, sender=self)
        post_migrate.connect(raise_again, sender=self)
        checks.register(wal_is_sound)
        checks.register(guards_stand, checks.Tags.database)
