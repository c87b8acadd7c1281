"""How good given positions are: against the rules, the proven optimum, plain habits and real events."""
