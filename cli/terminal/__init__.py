"""The terminal and the disk: interrupts, the live line, files written whole."""
