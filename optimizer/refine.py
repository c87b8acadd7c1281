"""Quarter-metre spots: climb from places on the coarse grid to the best place and height near them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from standmark.optimizer.candidates import FINEST_M, HEIGHT_STEP_M, SPACING_M, near_places
from standmark.optimizer.match import AllowedArea, Camera, Match

Floats = NDArray[np.float64]
MOST_STEPS = 40  # of one climb
BASIN_M = 6.0  # starts of two climbs are this far apart
BASIN_LOSS = 0.015  # a place on the coarse grid this much under the best one may still hold the best spot near it
MOST_BASINS = 3

# worth(positions (n, 3)) -> (n,): value of a plan with one camera at each of the positions, the others kept
Worth = Callable[[Floats], Floats]
