"""What lies in the ground, what it was found with, and whether we may dig."""
