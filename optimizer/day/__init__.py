"""The day of the match: times, kit, cautions and checks that follow from the match."""
