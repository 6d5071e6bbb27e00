"""Receivers' logs."""
