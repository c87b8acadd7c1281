"""What a camera at a place is worth: targets, size, and every other factor."""
