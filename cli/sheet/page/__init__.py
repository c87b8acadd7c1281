"""Parts of the page: its frame, its look and its one script."""
