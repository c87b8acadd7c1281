"""Files that people give besides a match: events, plans, positions."""
