"""Published rules of competitions for those who film, one TOML file each."""
