"""The match to be filmed, its defaults, and how a match file is read."""
