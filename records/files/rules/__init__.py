"""Pure: what a file is, by its first bytes and its name."""
