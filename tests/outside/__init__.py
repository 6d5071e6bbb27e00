"""Checks against what others have published or computed, with the source beside each."""
