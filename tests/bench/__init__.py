"""What things cost, as ratios. Not collected by a plain run: name the file."""
