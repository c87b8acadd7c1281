"""How fast a camera must pan and tilt to stay on moving people, and how often an operator manages."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def pan_rate_deg_s(
    camera_xyz_m: ArrayLike,
    target_xyz_m: ArrayLike,
    *,
    speed_m_s: ArrayLike,
    heading_rad: ArrayLike,
    spread_pull: ArrayLike,
) -> Floats:
    """Root-mean-square pan rate needed to stay on a subject that runs past the point [deg/s].

    A runner with speed v at the horizontal distance D turns the pan axis by ``v sin(delta) / D``, delta between the
    heading and the line of sight. Headings scatter round their mean with a wrapped normal distribution of standard
    deviation sigma, for which ``E[sin^2 delta] = (1 - pull^4 cos 2 delta) / 2``, pull = exp(-sigma^2 / 2), exactly.

    Parameters
    ----------
    camera_xyz_m : shape (p, 3) [m]
    target_xyz_m : shape (t, 3) [m]
    speed_m_s : shape (t,) or scalar [m/s]
    heading_rad : shape (t,) or scalar, mean heading, anticlockwise from +x [rad]
    spread_pull : shape (t,) or scalar, 1 one heading, 0 any heading

    Returns
    -------
    shape (p, t); inf straight above a moving subject
    """
    dx, dy, _ = _sight(camera_xyz_m, target_xyz_m)
    square = dx * dx + dy * dy
    across = _across_square(dx, dy, square, heading_rad=heading_rad, spread_pull=spread_pull)
    return _rate_deg(np.asarray(speed_m_s, float) * np.sqrt(across), np.sqrt(square))


def tilt_rate_deg_s(
    camera_xyz_m: ArrayLike,
    target_xyz_m: ArrayLike,
    *,
    speed_m_s: ArrayLike,
    heading_rad: ArrayLike,
    spread_pull: ArrayLike,
) -> Floats:
    """Root-mean-square tilt rate needed to stay on a subject that runs toward or away [deg/s].

    The tilt is ``atan(h / D)`` for a height difference h and a horizontal distance D, and turns by
    ``v cos(delta) h / (D^2 + h^2)``; ``E[cos^2 delta] = (1 + pull^4 cos 2 delta) / 2``. Parameters and shapes as in
    `pan_rate_deg_s`. A subject at lens height asks for no tilt.
    """
    dx, dy, dz = _sight(camera_xyz_m, target_xyz_m)
    square = dx * dx + dy * dy
    along = 1.0 - _across_square(dx, dy, square, heading_rad=heading_rad, spread_pull=spread_pull)
    return _rate_deg(np.asarray(speed_m_s, float) * np.sqrt(along) * np.abs(dz), square + dz * dz)


def follow_share(rate_deg_s: ArrayLike, *, limit_deg_s: ArrayLike) -> Floats:
    """Share of moments that an operator follows at a rate, one half at the limit of the support [0 to 1].

    ``1 / (1 + (rate / limit)^4)``: 0.94 at half the limit, 0.06 at twice. The shape is an estimate (common practice,
    no source): easy rates cost next to nothing, and no rate is quite impossible.

    >>> follow_share([15.0, 30.0, 60.0], limit_deg_s=30.0).round(2)
    array([0.94, 0.5 , 0.06])
    """
    ratio = np.asarray(rate_deg_s, float) / np.asarray(limit_deg_s, float)
    return np.asarray(1.0 / (1.0 + np.square(np.square(ratio))))


def _sight(camera_xyz_m: ArrayLike, target_xyz_m: ArrayLike) -> tuple[Floats, Floats, Floats]:
    camera, target = np.asarray(camera_xyz_m, float), np.asarray(target_xyz_m, float)
    dx, dy, dz = (target[None, :, i] - camera[:, None, i] for i in range(3))
    return dx, dy, dz


def _across_square(dx: Floats, dy: Floats, square: Floats, *, heading_rad: ArrayLike, spread_pull: ArrayLike) -> Floats:
    """E[sin^2] of the angle between heading and line of sight; one half straight above."""
    heading = np.asarray(heading_rad, float)
    double = (dx * dx - dy * dy) * np.cos(2.0 * heading) + 2.0 * dx * dy * np.sin(2.0 * heading)
    cosine = np.divide(double, square, out=np.zeros_like(double), where=square > 0.0)
    return np.asarray(np.clip(0.5 * (1.0 - np.asarray(spread_pull, float) ** 4 * cosine), 0.0, 1.0))


def _rate_deg(speed: Floats, distance: Floats) -> Floats:
    """Angular rate of a speed across a distance; 0 for no speed at any distance."""
    rate = np.full(np.broadcast_shapes(speed.shape, distance.shape), np.inf)
    np.divide(speed, distance, out=rate, where=distance > 0.0)
    return np.asarray(np.rad2deg(np.where(speed > 0.0, rate, 0.0)))
