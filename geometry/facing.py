"""How much of the faces a camera sees, given which way the people who matter look."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def facing_share(
    camera_xyz_m: ArrayLike,
    target_xyz_m: ArrayLike,
    *,
    facing_rad: ArrayLike,
    facing_pull: ArrayLike,
    faces_matter: ArrayLike,
) -> Floats:
    """Share of a picture's worth left by the direction in which the faces look [0 to 1].

    A face turned by delta away from the camera is worth ``(1 + cos delta) / 2``: 1 from in front, 1/2 in profile,
    0 from behind. Faces scatter round their mean direction with a wrapped normal distribution of standard deviation
    sigma, for which ``E[cos delta] = pull cos(mean delta)``, pull = exp(-sigma^2 / 2), exactly. Faces that matter
    by m leave ``1 - m + m (1 + pull cos delta) / 2``.

    Parameters
    ----------
    camera_xyz_m : shape (p, 3) [m]
    target_xyz_m : shape (t, 3) [m]
    facing_rad : shape (t,) or scalar, mean direction of the faces, anticlockwise from +x [rad]
    facing_pull : shape (t,) or scalar, exp(-sigma^2 / 2): 1 all look one way, 0 any way
    faces_matter : shape (t,) or scalar, 0 no matter, 1 useless from behind

    Returns
    -------
    shape (p, t); straight above the target the direction is open and counts as profile

    References
    ----------
    [1] K. V. Mardia, P. E. Jupp, Directional Statistics, 2000, section 3.5.7: trigonometric moments of the wrapped
        normal distribution (from memory).
    """
    camera, target = np.asarray(camera_xyz_m, float), np.asarray(target_xyz_m, float)
    facing, matter = np.asarray(facing_rad, float), np.asarray(faces_matter, float)
    dx = camera[:, None, 0] - target[None, :, 0]
    dy = camera[:, None, 1] - target[None, :, 1]
    distance = np.hypot(dx, dy)
    toward = dx * np.cos(facing) + dy * np.sin(facing)
    cosine = np.divide(toward, distance, out=np.zeros_like(toward), where=distance > 0.0)
    return np.asarray(1.0 - 0.5 * matter * (1.0 - np.asarray(facing_pull, float) * cosine))
