"""The page on which a match is planned in a browser: a match file, kept by a small server on one's own machine."""
