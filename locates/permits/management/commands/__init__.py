"""Commands of the permits."""
