"""Whether places keep a distance from each other on the ground."""

from __future__ import annotations

import numpy as np

from standmark.geometry.arrays import Flags, Floats


def stand_apart(xy_m: Floats, others_m: Floats, least_m: float) -> Flags:
    """Tell which places are at least so far from others.

    Parameters
    ----------
    xy_m, others_m : shape (..., 2), taken pair by pair as numpy broadcasts them

    Returns
    -------
    shape (...)

    >>> stand_apart(np.zeros(2), np.array([[3.0, 4.0], [1.0, 1.0]]), 5.0)
    array([ True, False])
    """
    offset = xy_m - others_m
    return np.asarray(np.hypot(offset[..., 0], offset[..., 1]) >= least_m)
