"""Grounds from maps, tables and walks: map files read safely, the playing area fitted, a match file written."""
