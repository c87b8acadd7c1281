"""TOML written by people: read safely, checked against a form, each mistake with its line."""
