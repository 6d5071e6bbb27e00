"""The history's own guards, and where those of all apps are gathered."""

from itertools import chain as joined

from django.conf import settings
from django.utils.module_loading import import_string

from records.ledger.chain import GENESIS
from records.ledger.triggers import Guard

NEXT_SEQ = "(SELECT COALESCE(MAX(seq), 0) + 1 FROM ledger_entry)"
LAST_HASH = f"COALESCE((SELECT hash FROM ledger_entry ORDER BY seq DESC LIMIT 1), '{GENESIS}')"
NOT_NEXT = f"NEW.seq <> {NEXT_SEQ} OR NEW.prev <> {LAST_HASH} OR EXISTS (SELECT 1 FROM ledger_entry AS kept WHERE kept.hash = NEW.hash)"
NOT_FORWARD = "NEW.seq < OLD.seq OR NOT EXISTS (SELECT 1 FROM ledger_entry AS kept WHERE kept.seq = NEW.seq AND kept.hash = NEW.hash)"

ADDED_ONLY = "an entry of the history is never changed or removed"
KEPT = "the head of the history stays"

GUARDS = (
    *(Guard("ledger_entry", event, ADDED_ONLY) for event in ("UPDATE", "DELETE", "TRUNCATE")),
    Guard("ledger_entry", "INSERT", "an entry of the history follows the last one and links to it", NOT_NEXT),
    Guard("ledger_head", "UPDATE", "the head of the history moves on to an entry", NOT_FORWARD, ("ledger_entry",)),
    *(Guard("ledger_head", event, KEPT) for event in ("DELETE", "TRUNCATE")),
    Guard("ledger_head", "INSERT", "the history has one head", "EXISTS (SELECT 1 FROM ledger_head)"),
)


def all_guards() -> list[Guard]:
    """The guards of every app that the settings name."""
    return list(joined.from_iterable(import_string(path) for path in settings.LEDGER_GUARDS))
