"""Each person's first page, and the operator's own."""
