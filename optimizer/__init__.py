"""From a match to a proven plan: targets, candidates, quality, search, and the advice around it."""
