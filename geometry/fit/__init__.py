"""From measurements to a place: a known outline laid on points, a camera's pose from marks in a picture."""
