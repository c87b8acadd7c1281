"""Sport definitions and what they mean: playing areas, key moments, periods, briefs."""
