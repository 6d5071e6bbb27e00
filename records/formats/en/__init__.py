"""In English."""
