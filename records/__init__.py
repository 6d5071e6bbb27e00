"""The ground: what makes any record trustworthy. Knows nobody above it."""
