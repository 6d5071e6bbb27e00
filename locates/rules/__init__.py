"""Pure rules of the ground: instruments' fitness, coverage and distances, depth readings. No Django."""
