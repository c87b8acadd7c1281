"""How much of the faces a camera sees, given which way the people who matter look."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from standmark.geometry.view.line_of_sight import LinesOfSight, Reals, like


def facing_share(
    sight: LinesOfSight, *, facing_rad: ArrayLike, facing_pull: ArrayLike, faces_matter: ArrayLike
) -> Reals:
    """Share of a picture's worth left by the direction in which the faces look [0 to 1].

    A face turned by delta away from the camera is worth ``(1 + cos delta) / 2``: 1 from in front, 1/2 in profile,
    0 from behind. Faces scatter round their mean direction with a wrapped normal distribution of standard deviation
    sigma, for which ``E[cos delta] = pull cos(mean delta)``, pull = exp(-sigma^2 / 2), exactly. Faces that matter
    by m leave ``1 - m + m (1 + pull cos delta) / 2``.

    Parameters
    ----------
    sight : from p lenses to t subjects
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
    half = 0.5 * np.asarray(faces_matter, np.float64)
    pull = half * np.asarray(facing_pull, np.float64)
    share = sight.along_x * like(sight, -pull * np.cos(facing_rad))
    share += sight.along_y * like(sight, -pull * np.sin(facing_rad))
    share += like(sight, 1.0 - half)
    return share
