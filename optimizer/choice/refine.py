"""Quarter-metre spots: climb from the best places of the coarse grid to the best place and height near them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from standmark.geometry.arrays import Floats, Indices
from standmark.optimizer.choice.candidates import FINEST_M, SPACING_M, neighbour_places, standing_shape
from standmark.optimizer.match.match import AllowedArea, Camera, Match, heights_within_reach_m

BASIN_M = 6.0  # starts of two climbs are at least this far apart
BASIN_LOSS = 0.015  # a place of the coarse grid this much under the best may still have the best spot beside it
MOST_BASINS = 3
MOST_STEPS = 60  # of one climb: a safeguard, a climb of 15 m at the finest step

# worth(positions (n, 3)) -> (n,): value of a plan with one camera at each of the positions, the others kept
Worth = Callable[[Floats], Floats]


def climb(match: Match, start_m: Floats, area: AllowedArea, camera: Camera, *, worth: Worth) -> Floats:
    """Walk uphill from a place: to the best neighbour while one is better, then with half the step, to FINEST_M.

    Parameters
    ----------
    start_m : shape (3,), lens position in the area

    Returns
    -------
    shape (3,): no neighbour a step of FINEST_M away is worth more
    """
    spot, value = start_m, float(worth(start_m[None])[0])
    shape, heights_m = standing_shape(match, area), heights_within_reach_m(area, camera)
    assert heights_m is not None  # it stands there
    tried = {tuple(spot)}
    step_m = SPACING_M / 2
    for _ in range(MOST_STEPS):
        near = neighbour_places(spot, shape, heights_m=heights_m, step_m=step_m)
        near = np.array([p for p in near if tuple(p) not in tried]).reshape(-1, 3)
        tried.update(map(tuple, near))
        values = worth(near) if len(near) else np.empty(0)
        if len(near) and values.max() > value + 1e-9:
            spot, value = near[int(values.argmax())], float(values.max())
        elif step_m <= FINEST_M:
            break
        else:
            step_m /= 2
    return spot


def basins(xyz_m: Floats, value: Floats) -> Indices:
    """Starts worth climbing from: the best place, and others far from it that are nearly as good.

    Parameters
    ----------
    xyz_m : shape (n, 3)
    value : shape (n,), value of a plan with one camera there, the others kept; -inf where it may not stand

    Returns
    -------
    indices, best first, at most MOST_BASINS
    """
    left = np.flatnonzero(value >= value.max() - BASIN_LOSS)
    left = left[np.argsort(-value[left], kind="stable")]
    kept: list[int] = []
    while len(left) and len(kept) < MOST_BASINS:
        kept.append(int(left[0]))
        left = left[np.hypot(*(xyz_m[left, :2] - xyz_m[left[0], :2]).T) >= BASIN_M]
    return np.array(kept, dtype=np.intp)
