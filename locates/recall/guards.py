"""A decision stays as it was made; whoever decides otherwise makes another."""

from records.ledger.triggers import frozen

GUARDS = frozen("recall_decision", "a decision upon a recall is never changed or removed", ("decision",))
