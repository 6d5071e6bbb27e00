"""The states of a permit and the acts between them, without Django."""
