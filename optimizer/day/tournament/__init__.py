"""A tournament: many matches on many pitches, and a crew that cannot be everywhere."""
