"""Positions on the Earth and in a site's metre grid, pure: which systems serve, the way there and back, tracks that were recorded elsewhere."""
