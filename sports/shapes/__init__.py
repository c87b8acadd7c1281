"""Shapes of a definition: expressions, points, lines and areas."""
