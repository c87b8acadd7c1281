"""From the text of a definition to a sport: its form, its checks, its values."""
