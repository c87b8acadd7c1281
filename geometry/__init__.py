"""Plane shapes, cameras, sightlines, optics, light and sun. Knows no sport, no file, no solver."""
