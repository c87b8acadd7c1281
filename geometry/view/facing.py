"""How much of the faces a camera sees, given which way the people who matter look."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from standmark.geometry.view.line_of_sight import LinesOfSight, Reals, like


def toward_lens(sight: LinesOfSight, facing_rad: ArrayLike) -> Reals:
    """Cosine of the angle on the ground between the direction subjects face and the direction to the lens [-1 to 1].

    1 a lens in front of the subject, 0 at its side or straight above it, -1 behind.

    Parameters
    ----------
    sight : from p lenses to t subjects
    facing_rad : shape (t,) or scalar, mean direction that the subjects face, anticlockwise from +x [rad]

    Returns
    -------
    shape (p, t)
    """
    cosine = sight.along_x * like(sight, -np.cos(facing_rad))
    cosine += sight.along_y * like(sight, -np.sin(facing_rad))
    return cosine


def facing_share(toward: Reals, *, facing_pull: ArrayLike) -> Reals:
    """Share of a picture that shows faces [0 to 1].

    A face turned by delta away from the camera shows by ``(1 + cos delta) / 2``: 1 from in front, 1/2 in profile,
    0 from behind. Faces scatter round their mean direction with a wrapped normal distribution of standard deviation
    sigma, for which ``E[cos delta] = pull cos(mean delta)``, pull = exp(-sigma^2 / 2), exactly.

    Parameters
    ----------
    toward : shape (p, t), cosine of the mean delta, see `toward_lens`
    facing_pull : shape (t,) or scalar, exp(-sigma^2 / 2): 1 all look one way, 0 any way

    References
    ----------
    [1] K. V. Mardia, P. E. Jupp, Directional Statistics, 2000, section 3.5.7: trigonometric moments of the wrapped
        normal distribution (from memory).
    """
    share = toward * np.asarray(0.5 * np.asarray(facing_pull, np.float64), toward.dtype)
    share += 0.5
    return share
