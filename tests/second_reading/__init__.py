"""A second, naive reading of the rules for signing, written apart from the gate, and random registers to hold the two against each other."""
