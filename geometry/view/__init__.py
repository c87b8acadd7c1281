"""How a place is seen from a place: distance and direction, faces, how fast one must turn."""
