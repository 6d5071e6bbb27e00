"""Pure: what a file is, by its first bytes and its name, and what is looked at in a PDF."""
