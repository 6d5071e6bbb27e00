"""Pure rules of the guided locate."""
