"""For how long a thing is in doubt, and what rested on it then, without Django."""
