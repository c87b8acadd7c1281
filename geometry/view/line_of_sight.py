"""Every look from some lenses to some subjects: what size, faces, blockage, following and light all start from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, DTypeLike, NDArray

from standmark.geometry.arrays import Floats

Reals = NDArray[np.floating[Any]]  # double precision, or single where speed counts
NOWHERE_M = 1e-9  # stands in for no distance, so that nothing is divided by 0


@dataclass(frozen=True, eq=False)
class LinesOfSight:
    """Lines of sight from p lenses to t subjects; all but the places in one type."""

    lens_m: Floats  # shape (p, 3)
    target_m: Floats  # shape (t, 3)
    lens_z_m: Reals  # shape (p, 1)
    target_z_m: Reals  # shape (t,)
    run_m: Reals  # shape (p, t), distance along the ground
    distance_m: Reals  # shape (p, t), distance through the air
    along_x: Reals  # shape (p, t), unit vector along the ground toward the subject; 0 straight above or below
    along_y: Reals


def lines_of_sight(camera_xyz_m: ArrayLike, target_xyz_m: ArrayLike, *, dtype: DTypeLike = np.float64) -> LinesOfSight:
    """Lines of sight from lenses to subjects.

    Parameters
    ----------
    camera_xyz_m : shape (p, 3)
    target_xyz_m : shape (t, 3)
    dtype : type of all that is computed from them; differences of places are taken in double precision
    """
    camera, target = np.asarray(camera_xyz_m, np.float64), np.asarray(target_xyz_m, np.float64)
    along_x, along_y, up = ((target[None, :, i] - camera[:, None, i]).astype(dtype) for i in range(3))
    square = along_x * along_x + along_y * along_y
    run = np.sqrt(square)
    square += up * up
    inverse = 1.0 / np.maximum(run, NOWHERE_M)
    along_x *= inverse
    along_y *= inverse
    lens_z, target_z = camera[:, 2, None].astype(dtype), target[:, 2].astype(dtype)
    return LinesOfSight(camera, target, lens_z, target_z, run, np.sqrt(square, out=square), along_x, along_y)


def like(sight: LinesOfSight, value: ArrayLike) -> Reals:
    """Give a value for the subjects in the type of the sight, so that arithmetic stays in it."""
    return np.asarray(value, sight.run_m.dtype)
