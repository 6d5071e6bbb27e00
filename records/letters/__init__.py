"""Letters: what Spadework writes to people, kept with what became of it."""
