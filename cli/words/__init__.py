"""Everything people read, as plain text and sections."""
