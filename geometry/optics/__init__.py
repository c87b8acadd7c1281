"""Cameras and lenses: angle of view, projection, framing, focus, blur, exposure, flicker."""
