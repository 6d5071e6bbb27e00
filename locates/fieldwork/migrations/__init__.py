"""How the field sheets are stored."""
