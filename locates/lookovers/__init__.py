"""The dig's diary: the look-over before work, sweeps made again as it goes deeper, and what was exposed by hand."""
