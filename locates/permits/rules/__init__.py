"""The gate, section by section, in the order of the rules. Pure: evidence and an instant in, a verdict out."""
