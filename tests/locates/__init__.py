"""What lies in the ground, and may we dig: the acts, one file each."""
