"""Exact search on plain arrays; knows nothing of matches, cameras or sports."""
