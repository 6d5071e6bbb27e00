"""Commands of the watch."""
