"""The shadows of walls as linear functions, for many lenses, walls and points at once in single precision.

Seen from one lens a wall hides a point of the ground exactly where three functions, linear in the point, are all
negative: beside its left end, beside its right end, beyond its line (`geometry/wall.py`). Each is the signed distance
from a line in metres, so a whole disc is ruled out when one of them is over its radius. The heights between which the
wall hides are linear as well: ``edge + beyond (z_C - edge) / d`` for its top and its base.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Indices, Singles
from standmark.geometry.sightlines.wall import Seen, Walls


@dataclass(frozen=True, eq=False)
class HalfSpaces:
    """Shadows of n pairs of lens and wall.

    Lines are a x + b y + c: left end, right end, wall line. A row of the table has the three a, the three b, the
    three c; top and base of the wall; the change of the height of their shadows with the depth beyond the wall.
    """

    columns: Singles  # shape (3, 3 n), a, b and c of all lines; values are signed distances [m], negative in the shadow
    table: Singles  # shape (n, 13)


@dataclass(frozen=True, eq=False)
class ShadowLines:
    """Shadows of r pairs, picked from the table."""

    columns: Singles  # shape (3, 3 r)
    edge_m: Singles  # shape (2, r)
    rise: Singles  # shape (2, r)


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
    table = np.concatenate([line.reshape(9, -1), edge, rise]).astype(np.float32)
    return HalfSpaces(table[:9].reshape(3, -1), np.ascontiguousarray(table.T))


def pick_lines(spaces: HalfSpaces, pair: Indices) -> ShadowLines:
    """Pick the shadows of some pairs, shape (r,)."""
    rows = np.ascontiguousarray(spaces.table.take(pair, axis=0).T)
    return ShadowLines(rows[:9].reshape(3, -1), rows[9:11], rows[11:])


def with_one(xy_m: Floats) -> Singles:
    """Points as (x, y, 1), shape (m, 3)."""
    return np.column_stack([xy_m, np.ones(len(xy_m))]).astype(np.float32)


def values_at(point: Singles, columns: Singles) -> Singles:
    """Value of every line at every point.

    Parameters
    ----------
    point : shape (m, 3), (x, y, 1)
    columns : shape (3, 3 n)

    Returns
    -------
    shape (m, 3, n)
    """
    # einsum: a matrix product would wake threads that compete with ours
    return np.asarray(np.einsum("mi,ij->mj", point, columns)).reshape(len(point), 3, -1)
