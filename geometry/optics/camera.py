"""The recorded area of a sensor and the lens in front of it, and what follows from them alone.

Thin lens focused far away: the angles and shares hold at infinity focus. At 20 m a 200 mm lens that focuses by
moving as a whole loses about 1 % of its angle; nearer than that the loss grows and depends on the make of lens.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from standmark.geometry.arrays import Floats


@dataclass(frozen=True)
class RecordingMode:
    """The part of a sensor that a recording mode really uses; a crop has its own size and pixel count."""

    name: str
    width_mm: float  # active width
    height_mm: float  # active height
    width_px: int
    height_px: int
    fps: tuple[float, ...] = (25.0, 50.0)  # frame rates that the mode offers


@dataclass(frozen=True)
class Lens:
    """A prime (both focal lengths equal) or a zoom, with its widest aperture at both ends."""

    name: str
    focal_mm: tuple[float, float]  # shortest, longest
    f_number: tuple[float, float] = (2.8, 2.8)  # widest aperture at the shortest, at the longest
    close_focus_m: float = 1.0


@dataclass(frozen=True)
class Support:
    """What carries the camera, and how fast it turns."""

    name: str
    pan_deg_s: float  # pan rate at which half the moments are lost
    tilt_deg_s: float


@dataclass(frozen=True)
class Operator:
    """Who points the camera."""

    name: str
    delay_s: float  # how far behind steady movement the frame is


def angle_of_view_deg(size_mm: ArrayLike, focal_mm: ArrayLike) -> Floats:
    """Angle of view across one dimension of the recorded area [deg, 0 to 180].

    ``2 atan(size / (2 f))``, rectilinear lens at infinity focus. Give the width, the height or the diagonal.

    Parameters
    ----------
    size_mm : active width, height or diagonal of the recording mode [mm]
    focal_mm : focal length [mm], > 0; broadcast with `size_mm`

    >>> round(float(angle_of_view_deg(36.0, 50.0)), 1)
    39.6
    """
    return np.rad2deg(2.0 * np.arctan(np.asarray(size_mm, float) / (2.0 * np.asarray(focal_mm, float))))


def subject_fraction(
    subject_height_m: ArrayLike, distance_m: ArrayLike, *, focal_mm: ArrayLike, mode: RecordingMode
) -> Floats:
    """Share of the frame height filled by an upright subject [0 to inf].

    ``h f / (s d)``, subject square to the optical axis. Above 1 the subject is cut by the frame.

    Parameters
    ----------
    subject_height_m : height of the subject [m]
    distance_m : lens to subject [m], > 0; all arguments broadcast
    focal_mm : focal length [mm]

    >>> full_frame = RecordingMode("UHD", 36.0, 20.25, 3840, 2160)
    >>> round(float(subject_fraction(1.8, 20.0, focal_mm=200.0, mode=full_frame)), 2)
    0.89
    """
    size_mm = np.asarray(subject_height_m, float) * np.asarray(focal_mm, float) / np.asarray(distance_m, float)
    return np.asarray(size_mm / mode.height_mm)


def pixels_per_metre(distance_m: ArrayLike, *, focal_mm: ArrayLike, mode: RecordingMode) -> Floats:
    """Pixels that record one upright metre at the distance, near the optical axis [px/m].

    ``f n / (s d)`` with the height of the recorded area in millimetres and pixels.

    Parameters
    ----------
    distance_m : lens to subject [m], > 0; broadcast with `focal_mm`
    focal_mm : focal length [mm]

    >>> full_frame = RecordingMode("UHD", 36.0, 20.25, 3840, 2160)
    >>> round(float(pixels_per_metre(50.0, focal_mm=200.0, mode=full_frame)), 1)
    426.7
    """
    per_mm = mode.height_px / mode.height_mm
    return np.asarray(per_mm * np.asarray(focal_mm, float) / np.asarray(distance_m, float))


def delivery_crop(mode: RecordingMode, *, aspect: tuple[int, int] = (9, 16)) -> RecordingMode:
    """Return the largest part of the recorded area with the aspect of the delivered frame, in whole pixels.

    The pixel pitch stays the same, so everything computed from the result holds for the delivered picture. A mode
    that has the aspect already is returned as it is.

    >>> tall = delivery_crop(RecordingMode("UHD", 36.0, 20.25, 3840, 2160))
    >>> tall.width_px, tall.height_px, tall.width_mm
    (1215, 2160, 11.390625)
    """
    across, up = aspect
    width_px = min(mode.width_px, mode.height_px * across // up)
    height_px = min(mode.height_px, mode.width_px * up // across)
    if (width_px, height_px) == (mode.width_px, mode.height_px):
        return mode
    return replace(
        mode,
        name=f"{mode.name} {across}:{up}",
        width_px=width_px,
        height_px=height_px,
        width_mm=mode.width_mm * width_px / mode.width_px,
        height_mm=mode.height_mm * height_px / mode.height_px,
    )
