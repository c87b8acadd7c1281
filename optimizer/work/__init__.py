"""Who does what: assignments, duties, second angles, the line of action, the map of the ground."""
