"""Second angle: is a moment also captured by another camera, from elsewhere or at another size.

Two shots of one action cut together when they differ by at least 30 degrees of direction, or clearly
in size (the 30-degree rule of editing, from memory); here clearly means twice or half the size.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from standmark.geometry.arrays import Flags, Floats

LEAST_ANGLE_DEG = 30.0
LEAST_RATIO = 2.0


def view_angle_deg(first_m: Floats, second_m: Floats, targets_m: Floats) -> Floats:
    """Angle at each target between the directions to two cameras [deg, 0 to 180].

    Parameters
    ----------
    first_m, second_m : shape (3,), lens positions
    targets_m : shape (t, 3)

    Returns
    -------
    shape (t,)
    """
    (ax, ay, az), (bx, by, bz) = (first_m - targets_m).T, (second_m - targets_m).T
    across = np.sqrt((ay * bz - az * by) ** 2 + (az * bx - ax * bz) ** 2 + (ax * by - ay * bx) ** 2)
    return np.asarray(np.degrees(np.arctan2(across, ax * bx + ay * by + az * bz)))


def is_other_view(angle_deg: Floats, first_size: Floats, second_size: Floats) -> Flags:
    """Do two cameras show each target from clearly different directions or at clearly different sizes.

    Parameters
    ----------
    angle_deg : shape (t,), between the directions to the two cameras
    first_size, second_size : shape (t,), share of frame height that the subject fills in each
    """
    ratio = np.maximum(first_size, second_size) / np.maximum(np.minimum(first_size, second_size), 1e-12)
    return np.asarray((angle_deg >= LEAST_ANGLE_DEG) | (ratio >= LEAST_RATIO))


@dataclass(frozen=True, eq=False)
class PairViews:
    """How the views of every two cameras differ."""

    angle_deg: Floats  # shape (n, n, t), between the directions to them
    differs: Flags  # shape (n, n, t), clearly


def pair_views(positions_m: Floats, size: Floats, targets_m: Floats) -> PairViews:
    """Compare the views of every two of some cameras.

    Parameters
    ----------
    positions_m : shape (n, 3), lens positions
    size : shape (n, t), share of frame height that the subject fills
    targets_m : shape (t, 3)
    """
    n = len(positions_m)
    angle_deg, differs = np.zeros((n, n, len(targets_m))), np.zeros((n, n, len(targets_m)), np.bool_)
    for i, j in combinations(range(n), 2):
        angle_deg[i, j] = angle_deg[j, i] = view_angle_deg(positions_m[i], positions_m[j], targets_m)
        differs[i, j] = differs[j, i] = is_other_view(angle_deg[i, j], size[i], size[j])
    return PairViews(angle_deg, differs)


def second_angle_share(quality: Floats, views: PairViews) -> Floats:
    """Share to which each target is captured twice over, by two cameras that show it differently [0 to 1].

    A pair of cameras is worth the smaller of its two qualities where their views differ, and the best
    pair counts.

    Parameters
    ----------
    quality : shape (n, t)

    Returns
    -------
    shape (t,), 0 with a single camera
    """
    share = np.zeros(quality.shape[1])
    for i, j in combinations(range(len(quality)), 2):
        share = np.maximum(share, np.where(views.differs[i, j], np.minimum(quality[i], quality[j]), 0.0))
    return share
