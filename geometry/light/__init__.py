"""The sun and what shades it."""
