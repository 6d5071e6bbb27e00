"""What becomes of a permit after it is signed."""
