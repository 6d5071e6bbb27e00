"""The house's own tests: who may know whom, what reads the clock, how large things grow, what the documents name."""
