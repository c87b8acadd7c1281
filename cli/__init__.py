"""Words, pictures and files: the only floor with side effects."""
