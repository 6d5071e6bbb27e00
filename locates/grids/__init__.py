"""How a site's metre grid lies on the Earth."""
