"""What rested on an instrument, an award or a plan that proved bad, and what was decided of each locate and permit."""
