"""Plans in the formats of other programs: maps, waypoints, spreadsheets, calendars."""
