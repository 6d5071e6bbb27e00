"""What the database keeps of letters: what was written to whom never changes, what was sent stays so, and none is removed."""

from records.ledger.triggers import NEVER, Guard

TABLE = "letters_letter"
STAYS = "a letter is never changed or removed, and one that was sent stays sent"
WRITTEN = ("id", "key", "person_id", "address", "subject", "text", "pressing", "posted_at")
REWRITTEN = " OR ".join(f"NEW.{column} <> OLD.{column}" for column in WRITTEN)

GUARDS = (
    Guard(TABLE, "UPDATE", STAYS, f"OLD.sent_at IS NOT NULL OR NEW.taken_at IS NULL AND NEW.sent_at IS NOT NULL OR {REWRITTEN}"),
    *(Guard(TABLE, event, STAYS) for event in ("DELETE", "TRUNCATE")),
    Guard(TABLE, "INSERT", STAYS, NEVER, replacing=f"EXISTS (SELECT 1 FROM {TABLE} AS kept WHERE kept.id = NEW.id OR kept.key = NEW.key)"),
)
