"""One file a command; `standmark.cli.main` loads a command only when it is called."""
