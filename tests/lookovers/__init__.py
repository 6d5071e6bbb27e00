"""Diaries of digs."""
