"""Courses, awards, and who is covered for what."""
