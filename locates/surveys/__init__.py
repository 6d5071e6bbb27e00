"""Enquiries and what the plans show; locates with their sweeps, traces and outcomes."""
