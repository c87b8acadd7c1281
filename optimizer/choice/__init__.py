"""From places and rules to the best choice: candidates, rows, stages, moves."""
