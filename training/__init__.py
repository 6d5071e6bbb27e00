"""Courses and awards: who is covered for what, until when."""
