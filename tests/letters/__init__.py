"""What Spadework writes to people, and what becomes of it."""
