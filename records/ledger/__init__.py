"""The append-only, hash-chained history of every action."""
