"""How the registers' own pages write days and instants."""
