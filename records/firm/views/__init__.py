"""Coming in and going out; the own account, and what the office does about others."""
