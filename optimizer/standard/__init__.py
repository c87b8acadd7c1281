"""Standard positions: views that a league wants at every ground, and where each ground's limits let them stand."""
