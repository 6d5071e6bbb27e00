"""What is told ahead: to whom, how long before, and in which words. Pure."""
