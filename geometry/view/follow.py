"""How fast a camera must pan and tilt to stay on moving people, and how often its support lets it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from standmark.geometry.view.line_of_sight import NOWHERE_M, LinesOfSight, Reals, like


def pan_tilt_squares(
    sight: LinesOfSight, toward: Reals, *, speed_m_s: ArrayLike, spread_pull: ArrayLike
) -> tuple[Reals, Reals]:
    """Mean squares of the pan and tilt rates needed to stay on subjects that run past a point [deg2/s2].

    A runner with speed v at the ground distance D turns the pan axis by ``v sin(delta) / D``, delta between the
    heading and the line of sight. The tilt is ``atan(h / D)`` for a height difference h, and turns by
    ``v cos(delta) h / (D^2 + h^2)``. Headings scatter round their mean with a wrapped normal distribution of standard
    deviation sigma, for which ``E[sin^2 delta] = (1 - pull^4 cos 2 delta) / 2``, pull = exp(-sigma^2 / 2), exactly,
    and ``E[cos^2 delta]`` is the rest.

    Parameters
    ----------
    sight : from p lenses to t subjects
    toward : shape (p, t), cosine between the mean heading and the direction to the lens, see `toward_lens`
    speed_m_s : shape (t,) or scalar [m/s]
    spread_pull : shape (t,) or scalar, 1 one heading, 0 any heading

    Returns
    -------
    pan, tilt : shape (p, t); straight above a moving subject pan is past all limits
    """
    square = np.rad2deg(np.asarray(speed_m_s, np.float64)) ** 2
    pull = np.asarray(spread_pull, np.float64) ** 4
    tilt = toward * toward
    tilt *= like(sight, square * pull)
    tilt += like(sight, square * 0.5 * (1.0 - pull))  # v^2 E[cos^2]
    pan = like(sight, square) - tilt
    np.maximum(pan, 0.0, out=pan)  # rounding may leave a little less than nothing
    away = np.maximum(sight.run_m, NOWHERE_M)
    away *= away
    pan /= away
    np.maximum(sight.distance_m, NOWHERE_M, out=away)
    away *= away
    rise = np.divide(sight.lens_z_m - sight.target_z_m, away, out=away)
    rise *= rise
    tilt *= rise
    return pan, tilt


def follow_share(pan: Reals, tilt: Reals, *, pan_deg_s: float, tilt_deg_s: float) -> Reals:
    """Share of moments in which a support turns as fast as needed; one half where one rate is at its limit [0 to 1].

    ``1 / (1 + (rate / limit)^4)`` for pan times the same for tilt: 0.94 at half the limit, 0.06 at twice. The shape
    is an estimate (common practice, no source): easy rates cost next to nothing, and no rate is quite impossible.

    Parameters
    ----------
    pan, tilt : mean squares of the rates [deg2/s2], as `pan_tilt_squares` gives them

    >>> follow_share(np.array([15.0, 30.0, 60.0]) ** 2, np.zeros(3), pan_deg_s=30.0, tilt_deg_s=20.0).round(2)
    array([0.94, 0.5 , 0.06])
    """
    share = pan * pan.dtype.type(pan_deg_s**-2)
    share *= share
    share += 1.0
    turned = tilt * tilt.dtype.type(tilt_deg_s**-2)
    turned *= turned
    turned += 1.0
    share *= turned
    return np.reciprocal(share, out=share)
