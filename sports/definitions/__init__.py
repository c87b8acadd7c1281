"""One TOML file a sport; read by `standmark.sports.library`."""
