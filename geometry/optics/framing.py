"""How tightly an action can be framed: the focal length at which it fits, and what a longer one still holds."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from standmark.geometry.arrays import Floats
from standmark.geometry.optics.camera import RecordingMode
from standmark.geometry.view.line_of_sight import Reals

HEAD_ROOM = 0.10  # share of the frame height kept free above the action; common practice, no source
LEAD_ROOM = 0.15  # share of the frame width kept free ahead of the action; common practice, no source


def fitting_focal_mm(
    distance_m: ArrayLike,
    extent_m: ArrayLike,
    *,
    mode: RecordingMode,
    head_room: float = HEAD_ROOM,
    lead_room: float = LEAD_ROOM,
) -> Floats:
    """Longest focal length at which an action fits in the frame with head room and lead room [mm].

    The frame covers ``d s / f`` at the distance d, so the action of width w and height h fits as long as
    ``f <= d min(s_w (1 - lead) / w, s_h (1 - head) / h)``.

    Parameters
    ----------
    distance_m : shape (..., n) or scalar, lens to action [m]
    extent_m : shape (n, 2) or (2,), width and height of the action, square to the optical axis [m]
    head_room : share of the frame height kept free above the action [0 to 1)
    lead_room : share of the frame width kept free ahead of it [0 to 1)

    Returns
    -------
    shape (..., n)

    >>> full_frame = RecordingMode("UHD", 36.0, 20.25, 3840, 2160)
    >>> round(float(fitting_focal_mm(40.0, (6.0, 2.5), mode=full_frame)), 1)
    204.0
    """
    extent = np.asarray(extent_m, float)
    across = mode.width_mm * (1.0 - lead_room) / extent[..., 0]
    up = mode.height_mm * (1.0 - head_room) / extent[..., 1]
    return np.asarray(distance_m, float) * np.minimum(across, up)


def held_share(distance_m: ArrayLike, extent_m: ArrayLike, *, focal_mm: ArrayLike, mode: RecordingMode) -> Reals:
    """Share of an action that stays inside the frame at a focal length, which may be too long for it [0 to 1].

    Area of the action's rectangle inside the frame over its whole area, action in the middle of the frame:
    ``min(1, d s_w / (f w)) min(1, d s_h / (f h))``. Head room and lead room are given up before any of the action.

    Parameters
    ----------
    distance_m : shape (..., n) or scalar, lens to action [m]
    extent_m : shape (n, 2) or (2,), width and height of the action [m]
    focal_mm : focal length in use [mm]; broadcast with `distance_m`

    Returns
    -------
    shape (..., n), of the type of distance and focal length

    >>> full_frame = RecordingMode("UHD", 36.0, 20.25, 3840, 2160)
    >>> float(held_share(10.0, (4.0, 1.0), focal_mm=180.0, mode=full_frame))
    0.5
    """
    extent, reach = np.asarray(extent_m, float), np.asarray(distance_m) / np.asarray(focal_mm)
    held = np.minimum(1.0, reach * np.asarray(mode.width_mm / extent[..., 0], reach.dtype))
    reach = reach * np.asarray(mode.height_mm / extent[..., 1], reach.dtype)
    return np.asarray(held * np.minimum(1.0, reach))
