"""Instruments, their calibrations and checks."""
