"""Points of the ground in compact groups of equal size, so that whole groups can be ruled out at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Tiles:
    """Groups of points; a group that is not full repeats its last point."""

    index: Indices  # shape (n_tiles, size), which points
    centre_m: Floats  # shape (n_tiles, 2)
    radius_m: Floats  # shape (n_tiles,), every point of the tile lies within it of the centre


def tile_points(xy_m: Floats, *, size: int) -> Tiles:
    """Split points into compact tiles by halving across the longer side of their box.

    Parameters
    ----------
    xy_m : shape (n, 2), n >= 1
    size : points to a tile; all tiles but the last of each branch are full
    """
    index = np.array([_padded(leaf, size) for leaf in _leaves(np.arange(len(xy_m)), xy_m, size)])
    points = xy_m[index]
    centre = 0.5 * (points.min(axis=1) + points.max(axis=1))
    radius = np.hypot(*np.moveaxis(points - centre[:, None], 2, 0)).max(axis=1)
    return Tiles(index=index, centre_m=centre, radius_m=radius)


def _leaves(index: Indices, xy_m: Floats, size: int) -> list[Indices]:
    if len(index) <= size:
        return [index]
    points = xy_m[index]
    axis = int(np.argmax(np.ptp(points, axis=0)))
    order = index[np.argsort(points[:, axis], kind="stable")]
    n_full = size * max(1, round(len(index) / size / 2))
    return _leaves(order[:n_full], xy_m, size) + _leaves(order[n_full:], xy_m, size)


def _padded(leaf: Indices, size: int) -> Indices:
    return np.concatenate([leaf, np.full(size - len(leaf), leaf[-1])])
