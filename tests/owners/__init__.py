"""Trial holes, planned lines and reports to owners."""
