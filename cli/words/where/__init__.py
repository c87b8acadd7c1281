"""Names of places: what a person calls a spot, and how they find it from the lines that are painted."""
