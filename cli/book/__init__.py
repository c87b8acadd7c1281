"""The position book: a league's standard at every ground of a folder tree, for paper, browser and table."""
