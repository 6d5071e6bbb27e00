"""The sketch in a real browser, on a page of its own that needs no database."""
