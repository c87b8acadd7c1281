"""Pictures: drawing functions take axes and plain results, compute no geometry of their own, and write nothing."""
