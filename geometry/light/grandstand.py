"""Stands that keep the sun off: an upright front from the ground to a roof line, its shadow, and what lies in it.

With the sun in the direction d, the point at height w of the front throws its shadow on the ground at
``x + u (B - A) - w g``, g = (d_x, d_y) / d_z, along a front from A (u = 0) to B (u = 1). A point at height z throws
its own to ``x - z g``; it is shaded when that falls on the shadow of a higher part of the front.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Flags


@dataclass(frozen=True)
class Stand:
    """The shading front of a stand."""

    edge_m: tuple[tuple[float, float], tuple[float, float]]  # ends of the roof line, seen from above
    height_m: float


def is_shaded(xyz_m: ArrayLike, stands: Sequence[Stand], *, toward_sun: ArrayLike) -> Flags:
    """Tell which points have a stand between them and the sun.

    Parameters
    ----------
    xyz_m : shape (n, 3)
    toward_sun : shape (3,), unit vector; below the horizon nothing is shaded

    Returns
    -------
    shape (n,)

    >>> low_east = (0.8, 0.0, 0.6)  # 45 m of shadow for 33.75 m of stand
    >>> stand = Stand(((50.0, -30.0), (50.0, 30.0)), 15.0)
    >>> is_shaded([(40, 0, 0), (20, 0, 0), (40, 0, 12), (60, 0, 0)], [stand], toward_sun=low_east)
    array([ True, False, False, False])
    """
    points = np.asarray(xyz_m, np.float64)
    x, y, z = (float(v) for v in np.asarray(toward_sun, np.float64))
    shaded = np.zeros(len(points), bool)
    if z <= 0.0:
        return shaded
    run = np.array([x, y]) / z
    thrown = points[:, :2] - points[:, 2:] * run
    for stand in stands:
        start, stop = np.array(stand.edge_m)
        edge, away = stop - start, thrown - start
        width = edge[0] * run[1] - edge[1] * run[0]
        if width == 0.0:
            continue  # the sun shines along the front
        along = (away[:, 0] * run[1] - away[:, 1] * run[0]) / width
        height = (away[:, 0] * edge[1] - away[:, 1] * edge[0]) / width
        shaded |= (along >= 0.0) & (along <= 1.0) & (height > points[:, 2]) & (height <= stand.height_m)
    return shaded


def shade_on_ground(stands: Sequence[Stand], *, toward_sun: ArrayLike) -> BaseGeometry:
    """Shadow of stands on the ground; empty when the sun is down."""
    x, y, z = (float(v) for v in np.asarray(toward_sun, np.float64))
    if z <= 0.0:
        return shapely.Polygon()
    shadows = []
    for stand in stands:
        (ax, ay), (bx, by) = stand.edge_m
        dx, dy = -stand.height_m * x / z, -stand.height_m * y / z
        shadows.append(shapely.Polygon([(ax, ay), (bx, by), (bx + dx, by + dy), (ax + dx, ay + dy)]))
    return shapely.union_all(shadows)
