"""The shadows of walls as linear functions, for many lenses, walls and points at once in single precision.

Seen from one lens a wall hides a point of the ground exactly where three functions, linear in the point, are all
negative: beside its left end, beside its right end, beyond its line (`geometry/wall.py`). Each is the signed distance
from a line in metres, so a whole disc is ruled out when one of them is over its radius. The heights between which the
wall hides are linear as well: ``edge + beyond (z_C - edge) / d`` for its top and its base.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.wall import Seen, Walls

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Indices = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class HalfSpaces:
    """Shadows of n pairs of lens and wall.

    Lines are a x + b y + c: left end, right end, wall line; a row holds the three a, the three b, the three c.
    """

    line: Singles  # shape (n, 9), signed distances [m], all negative in the shadow
    columns: Singles  # shape (3, 3 n), the same by coefficient
    aside: Singles  # shape (n, 9), their change for a step to the left as seen from the lens, times its distance
    edge_m: Singles  # shape (2, n), top and base of the wall
    rise: Singles  # shape (2, n), change of the height of their shadows with the depth beyond the wall


def half_spaces(seen: Seen, lens_z_m: Floats, *, walls: Walls) -> HalfSpaces:
    """Give the shadows of walls.

    Parameters
    ----------
    lens_z_m : shape (n_lenses,)
    """
    vector = np.stack([seen.left, -seen.right, seen.along])
    a, b = -vector[..., 1], vector[..., 0]
    x, y = seen.lens_xy_m.T
    line = np.stack([a, b, -a * x - b * y])
    line[2, 2] += seen.distance_m
    edge = np.stack([walls.top_m, walls.base_m])[:, seen.wall]
    rise = (lens_z_m[seen.lens] - edge) / seen.distance_m
    rise[1, walls.base_m[seen.wall] < 0.0] = 0.0
    parts = (_rows(line), line.reshape(3, -1), _rows(np.stack([b, -a, a * y - b * x])), edge, rise)
    return HalfSpaces(*(part.astype(np.float32) for part in parts))


def _rows(line: Floats) -> Floats:
    return line.transpose(2, 0, 1).reshape(-1, 9)


def with_one(xy_m: Floats) -> Singles:
    """Points as (x, y, 1), shape (m, 3)."""
    return np.column_stack([xy_m, np.ones(len(xy_m))]).astype(np.float32)


def depths_at(point: Singles, columns: Singles) -> Singles:
    """Value of every line at every point.

    Parameters
    ----------
    point : shape (m, 3), (x, y, 1)
    columns : shape (3, 3 n)

    Returns
    -------
    shape (m, 3, n)
    """
    return np.asarray(point @ columns).reshape(len(point), 3, -1)


def depths_of_rows(point: Singles, line: Singles, pair: Indices) -> Singles:
    """Value of the lines of some pairs at every point.

    Parameters
    ----------
    point : shape (m, 3), (x, y, 1)
    line : shape (n, 9)
    pair : shape (r,)

    Returns
    -------
    shape (m, 3, r)
    """
    return depths_at(point, np.ascontiguousarray(line.take(pair, axis=0).T).reshape(3, -1))
