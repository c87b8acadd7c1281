"""What to set on the camera for a planned shot, and how conflicts between settings are settled."""
