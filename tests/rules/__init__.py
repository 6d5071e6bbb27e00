"""Tests of the pure rules. None imports Django."""
