"""Seeing over one thing in front: a board, a standing head, a crossbar, the row of seats ahead. Similar triangles.

  lens o------.___
       |          ---.___ barrier top
       |                 |---.___            hidden below this line
ground =======================---.___========
       0              barrier_m     distance along the ground from the lens
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def hidden_below_m(
    lens_z_m: ArrayLike, barrier_z_m: ArrayLike, *, barrier_m: ArrayLike, subject_m: ArrayLike
) -> Floats:
    """Height at the subject's distance below which a barrier hides everything [m].

    ``z_C + (z_B - z_C) d_S / d_B``; below 0 nothing is hidden. All arguments broadcast.

    Parameters
    ----------
    lens_z_m, barrier_z_m : heights of the lens and of the top of the barrier
    barrier_m, subject_m : distances from the lens, 0 < barrier_m <= subject_m

    >>> float(hidden_below_m(1.2, 1.0, barrier_m=1.0, subject_m=4.0).round(3))
    0.4
    """
    lens, barrier = np.asarray(lens_z_m, float), np.asarray(barrier_z_m, float)
    return np.asarray(lens + (barrier - lens) * np.asarray(subject_m, float) / np.asarray(barrier_m, float))


def share_over_barrier(
    lens_z_m: ArrayLike,
    barrier_z_m: ArrayLike,
    *,
    barrier_m: ArrayLike,
    subject_m: ArrayLike,
    subject_height_m: ArrayLike,
) -> Floats:
    """Share of an upright subject's height that shows over a barrier [0 to 1]; parameters as in `hidden_below_m`."""
    hidden = hidden_below_m(lens_z_m, barrier_z_m, barrier_m=barrier_m, subject_m=subject_m)
    return np.asarray(np.clip(1.0 - hidden / np.asarray(subject_height_m, float), 0.0, 1.0))


def first_ground_seen_m(lens_z_m: ArrayLike, barrier_z_m: ArrayLike, *, barrier_m: ArrayLike) -> Floats:
    """Distance from the lens at which the ground shows again beyond a barrier [m]; inf from no higher than its top.

    >>> float(first_ground_seen_m(1.6, 1.0, barrier_m=3.0).round(3))
    8.0
    """
    lens, barrier = np.asarray(lens_z_m, float), np.asarray(barrier_z_m, float)
    over, distance = np.broadcast_arrays(lens - barrier, np.asarray(barrier_m, float) * lens)
    return np.asarray(np.divide(distance, over, out=np.full(over.shape, np.inf), where=over > 0.0))


def lens_height_m(
    barrier_z_m: ArrayLike, *, barrier_m: ArrayLike, point_m: ArrayLike, point_z_m: ArrayLike = 0.0
) -> Floats:
    """Least height of a lens from which a point shows over a barrier [m].

    ``z_P + (z_B - z_P) d_P / (d_P - d_B)``; inf when the barrier stands at the point.

    Parameters
    ----------
    barrier_z_m : height of the top of the barrier
    barrier_m, point_m : distances from the lens, 0 <= barrier_m <= point_m
    point_z_m : height of the point

    >>> float(lens_height_m(2.44, barrier_m=10.0, point_m=21.0).round(2))  # a penalty spot over the bar, 10 m behind it
    4.66
    """
    barrier, point = np.asarray(barrier_z_m, float), np.asarray(point_z_m, float)
    far = np.asarray(point_m, float)
    beyond = np.asarray(far - np.asarray(barrier_m, float))
    ratio = np.divide(far, beyond, out=np.full(beyond.shape, np.inf), where=beyond > 0.0)
    return np.asarray(point + (barrier - point) * ratio)


def c_value_m(eye_m: ArrayLike, *, focus_m: ArrayLike, riser_m: ArrayLike, row_m: ArrayLike) -> Floats:
    """Clearance of a seated sightline over the eyes of the row in front, the C value of stands [m].

    ``C = D (N + R) / (D + T) - R``.

    Parameters
    ----------
    eye_m : R, height of the eye in front over the point of focus
    focus_m : D, ground distance from the eye in front to the point of focus
    riser_m : N, height of a step
    row_m : T, depth of a row

    References
    ----------
    [1] Guide to Safety at Sports Grounds, section on sightlines; formula as given in Stadium sightlines worksheet,
        2012. C of 60 mm: between the heads in front; 90 mm: head tilted back; 120 mm: good; 150 mm: over hats.

    >>> float(c_value_m(10.0, focus_m=30.0, riser_m=0.488333, row_m=1.0).round(4))
    0.15
    """
    eye, focus = np.asarray(eye_m, float), np.asarray(focus_m, float)
    return np.asarray(focus * (np.asarray(riser_m, float) + eye) / (focus + np.asarray(row_m, float)) - eye)


def riser_for_c_m(c_m: ArrayLike, *, eye_m: ArrayLike, focus_m: ArrayLike, row_m: ArrayLike) -> Floats:
    """Step height that gives a clearance, the inverse of `c_value_m` [m]."""
    eye, focus = np.asarray(eye_m, float), np.asarray(focus_m, float)
    return np.asarray((eye + np.asarray(c_m, float)) * (focus + np.asarray(row_m, float)) / focus - eye)
