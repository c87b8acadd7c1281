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


def framed_share(extent_m: ArrayLike, *, reach_m_mm: Reals, mode: RecordingMode) -> Reals:
    """Share of an action that is inside the frame at a focal length, which may be too long for it [0 to 1].

    Area of the action's rectangle inside the frame over its whole area, action in the middle of the frame:
    ``min(1, d s_w / (f w)) min(1, d s_h / (f h))``. Head room and lead room are given up before any of the action.

    Parameters
    ----------
    extent_m : shape (n, 2) or (2,), width and height of the action [m]
    reach_m_mm : shape (..., n), distance over focal length: metres at the action for a millimetre of the sensor

    >>> full_frame = RecordingMode("UHD", 36.0, 20.25, 3840, 2160)
    >>> float(framed_share((4.0, 1.0), reach_m_mm=np.array(10.0 / 180.0), mode=full_frame))
    0.5
    """
    extent = np.asarray(extent_m, float)
    across, up = (
        np.asarray(reach_m_mm * np.asarray(side_mm / extent[..., i], reach_m_mm.dtype))
        for i, side_mm in enumerate((mode.width_mm, mode.height_mm))
    )
    np.minimum(across, 1.0, out=across)
    across *= np.minimum(up, 1.0, out=up)
    return across
