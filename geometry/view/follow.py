"""How fast a camera must pan and tilt to stay on moving people, and how often an operator manages."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from standmark.geometry.view.line_of_sight import NOWHERE_M, LinesOfSight, Reals, like


def pan_tilt_rates_deg_s(
    sight: LinesOfSight, *, speed_m_s: ArrayLike, heading_rad: ArrayLike, spread_pull: ArrayLike
) -> tuple[Reals, Reals]:
    """Root-mean-square pan and tilt rates needed to stay on subjects that run past a point [deg/s].

    A runner with speed v at the ground distance D turns the pan axis by ``v sin(delta) / D``, delta between the
    heading and the line of sight. The tilt is ``atan(h / D)`` for a height difference h, and turns by
    ``v cos(delta) h / (D^2 + h^2)``. Headings scatter round their mean with a wrapped normal distribution of standard
    deviation sigma, for which ``E[sin^2 delta] = (1 - pull^4 cos 2 delta) / 2``, pull = exp(-sigma^2 / 2), exactly,
    and ``E[cos^2 delta]`` is the rest.

    Parameters
    ----------
    sight : from p lenses to t subjects
    speed_m_s : shape (t,) or scalar [m/s]
    heading_rad : shape (t,) or scalar, mean heading, anticlockwise from +x [rad]
    spread_pull : shape (t,) or scalar, 1 one heading, 0 any heading

    Returns
    -------
    pan, tilt : shape (p, t); straight above a moving subject pan is past all limits
    """
    speed = np.rad2deg(np.asarray(speed_m_s, np.float64))
    pull = np.asarray(spread_pull, np.float64) ** 4
    along = sight.along_x * like(sight, np.cos(heading_rad))
    along += sight.along_y * like(sight, np.sin(heading_rad))
    along *= along
    along *= like(sight, pull)
    along += like(sight, 0.5 * (1.0 - pull))  # E[cos^2]
    np.minimum(along, 1.0, out=along)
    pan = np.sqrt(1.0 - along)
    pan *= like(sight, speed)
    pan /= np.maximum(sight.run_m, NOWHERE_M)
    tilt = np.sqrt(along, out=along)
    tilt *= like(sight, speed)
    tilt *= np.abs(sight.lens_z_m - sight.target_z_m)
    square = np.maximum(sight.distance_m, NOWHERE_M)
    square *= square
    tilt /= square
    return pan, tilt


def follow_share(rate_deg_s: ArrayLike, *, limit_deg_s: ArrayLike) -> NDArray[np.floating]:
    """Share of moments that an operator follows at a rate, one half at the limit of the support [0 to 1].

    ``1 / (1 + (rate / limit)^4)``: 0.94 at half the limit, 0.06 at twice. The shape is an estimate (common practice,
    no source): easy rates cost next to nothing, and no rate is quite impossible.

    >>> follow_share([15.0, 30.0, 60.0], limit_deg_s=30.0).round(2)
    array([0.94, 0.5 , 0.06])
    """
    share = np.asarray(np.asarray(rate_deg_s) / limit_deg_s)
    share *= share
    share *= share
    share += 1.0
    return np.asarray(np.reciprocal(share, out=share))
