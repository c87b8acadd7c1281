"""Points of the ground in compact groups of equal size, so that whole groups can be ruled out at once."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Indices


@dataclass(frozen=True, eq=False)
class PointGroups:
    """Groups of points; the last group repeats its last point where it is not full."""

    index: Indices  # shape (n_groups, size), which points
    centre_m: Floats  # shape (n_groups, 2)
    radius_m: Floats  # shape (n_groups,), every point of the group lies within it of the centre


def group_points(xy_m: Floats, *, size: int) -> PointGroups:
    """Split points into compact groups: slabs across x of whole groups, each cut along y (sort-tile-recursive packing).

    Parameters
    ----------
    xy_m : shape (n, 2), n >= 1
    size : points to a group

    References
    ----------
    [1] S. T. Leutenegger, M. A. Lopez, J. Edgington, STR: A Simple and Efficient Algorithm for R-Tree Packing, 1997
        (from memory).
    """
    n_groups = math.ceil(len(xy_m) / size)
    width, depth = np.maximum(np.ptp(xy_m, axis=0), 1e-9)
    n_slabs = int(np.clip(round(math.sqrt(n_groups * width / depth)), 1, n_groups))
    slab_size = math.ceil(n_groups / n_slabs) * size
    by_x = np.argsort(xy_m[:, 0], kind="stable")
    slab = np.empty(len(xy_m), np.intp)
    slab[by_x] = np.arange(len(xy_m)) // slab_size
    order = np.lexsort((xy_m[:, 1], slab))
    index = np.append(order, np.full(n_groups * size - len(order), order[-1])).reshape(n_groups, size)
    points = xy_m[index]
    centre = 0.5 * (points.min(axis=1) + points.max(axis=1))
    radius = np.hypot(*np.moveaxis(points - centre[:, None], 2, 0)).max(axis=1)
    return PointGroups(index=index, centre_m=centre, radius_m=radius)
