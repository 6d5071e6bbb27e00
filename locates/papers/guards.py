"""An issued paper stays as it was issued."""

from records.ledger.triggers import frozen

GUARDS = frozen("papers_paper", "an issued paper is never changed or removed", ("id", "permit_id version"))
