"""Second angle: is a moment also captured by another camera, from elsewhere or at another size.

Two shots of one action cut together when they differ by at least 30 degrees of direction, or clearly
in size (the 30-degree rule of editing, from memory); here clearly means twice or half the size.
"""

from __future__ import annotations

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
    a, b = first_m - targets_m, second_m - targets_m
    cross = np.linalg.norm(np.cross(a, b), axis=1)
    return np.asarray(np.degrees(np.arctan2(cross, (a * b).sum(axis=1))))


def is_other_view(
    first_m: Floats, second_m: Floats, targets_m: Floats, *, first_size: Floats, second_size: Floats
) -> Flags:
    """Do two cameras show each target from clearly different directions or at clearly different sizes.

    Parameters
    ----------
    first_size, second_size : shape (t,), share of frame height that the subject fills in each
    """
    ratio = np.maximum(first_size, second_size) / np.maximum(np.minimum(first_size, second_size), 1e-12)
    apart = view_angle_deg(first_m, second_m, targets_m) >= LEAST_ANGLE_DEG
    return np.asarray(apart | (ratio >= LEAST_RATIO))


def second_angle_share(positions_m: Floats, quality: Floats, size: Floats, targets_m: Floats) -> Floats:
    """Share to which each target is captured twice over, by two cameras that show it differently [0 to 1].

    A pair of cameras is worth the smaller of its two qualities where their views differ, and the best
    pair counts.

    Parameters
    ----------
    positions_m : shape (n, 3), lens positions
    quality : shape (n, t)
    size : shape (n, t), share of frame height that the subject fills

    Returns
    -------
    shape (t,), 0 with a single camera
    """
    share = np.zeros(len(targets_m))
    for i, j in combinations(range(len(positions_m)), 2):
        differs = is_other_view(positions_m[i], positions_m[j], targets_m, first_size=size[i], second_size=size[j])
        share = np.maximum(share, np.where(differs, np.minimum(quality[i], quality[j]), 0.0))
    return share
