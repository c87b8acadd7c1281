"""Depth of field: which distances are sharp, and where to focus to keep a stretch of ground sharp.

Thin lens; distances run from the lens along the optical axis.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, inf
from typing import Literal

from standmark.geometry.optics.camera import RecordingMode

FULL_FRAME_DIAGONAL_MM = hypot(36.0, 24.0)

# How large a blurred point may be and still pass for sharp: two pixel pitches (sharp when the recording is looked at
# full size), 0.03 mm for full frame divided by the crop factor (sharp on a print at arm's length), or a share of the
# sensor's diagonal. The first two are in use; the diagonal rules are conventions from memory.
CircleRule = Literal["two pixels", "crop", "diagonal/1500", "diagonal/1730"]


@dataclass(frozen=True)
class SharpZone:
    """The stretch of distances in which a point blurs to no more than the circle of confusion."""

    near_m: float
    far_m: float  # inf when everything behind is sharp

    @property
    def depth_m(self) -> float:
        """Length of the zone, inf when it has no far end."""
        return self.far_m - self.near_m


def circle_of_confusion_mm(mode: RecordingMode, *, rule: CircleRule = "two pixels") -> float:
    """Largest blur on the sensor that counts as sharp [mm].

    Parameters
    ----------
    mode : its active size and pixel count are used

    References
    ----------
    [1] Circle of confusion, 0.03 mm for full frame divided by the crop factor: common convention.
    [2] diagonal / 1500 and / 1730: conventions, from memory.

    >>> circle_of_confusion_mm(RecordingMode("full frame", 36.0, 20.25, 3840, 2160))
    0.01875
    """
    diagonal_mm = hypot(mode.width_mm, mode.height_mm)
    return {
        "two pixels": 2.0 * mode.width_mm / mode.width_px,
        "crop": 0.03 * diagonal_mm / FULL_FRAME_DIAGONAL_MM,
        "diagonal/1500": diagonal_mm / 1500.0,
        "diagonal/1730": diagonal_mm / 1730.0,
    }[rule]


def hyperfocal_m(focal_mm: float, f_number: float, *, circle_mm: float) -> float:
    """Focus distance from which everything out to infinity is sharp [m].

    H = f^2 / (N c) + f; with the lens set there the near limit is H / 2.

    References
    ----------
    [1] A. R. Greenleaf, Photographic Optics, 1950, as quoted by later texts.

    >>> round(hyperfocal_m(50.0, 8.0, circle_mm=0.03), 3)
    10.467
    """
    return (focal_mm * focal_mm / (f_number * circle_mm) + focal_mm) / 1000.0


def sharp_zone(focus_m: float, focal_mm: float, *, f_number: float, circle_mm: float) -> SharpZone:
    """Near and far limit of sharpness for a lens focused at one distance.

    near = s (H - f) / (H + s - 2f), far = s (H - f) / (H - s), far infinite from s = H on.

    Parameters
    ----------
    focus_m : more than the focal length

    References
    ----------
    [1] A. R. Greenleaf, Photographic Optics, 1950, as quoted by later texts.

    >>> zone = sharp_zone(30.0, 200.0, f_number=2.8, circle_mm=0.03)
    >>> round(zone.near_m, 2), round(zone.far_m, 2)
    (28.23, 32.0)
    """
    focal_m = focal_mm / 1000.0
    beyond_m = focal_mm * focal_mm / (f_number * circle_mm) / 1000.0  # H - f
    near_m = focus_m * beyond_m / (beyond_m + focus_m - focal_m)
    room_m = beyond_m + focal_m - focus_m
    return SharpZone(near_m, focus_m * beyond_m / room_m if room_m > 0.0 else inf)


def blur_circle_mm(distance_m: float, focus_m: float, focal_mm: float, *, f_number: float) -> float:
    """Diameter on the sensor of a point that lies away from the focused distance [mm].

    b = f^2 |d - s| / (N d (s - f)), from similar triangles behind a thin lens.

    >>> round(blur_circle_mm(32.0, 30.0, 200.0, f_number=2.8), 4)
    0.03
    """
    focal_m = focal_mm / 1000.0
    spread_m = focal_m * focal_m * abs(distance_m - focus_m) / (f_number * distance_m * (focus_m - focal_m))
    return 1000.0 * spread_m


def focus_for_zone_m(near_m: float, far_m: float) -> float:
    """Focus distance at which both ends of a stretch blur alike: 2 / s = 1 / near + 1 / far [m].

    It needs the least stopping down to keep the whole stretch sharp.

    >>> focus_for_zone_m(20.0, 60.0)
    30.0
    """
    return 2.0 * near_m if far_m == inf else 2.0 * near_m * far_m / (near_m + far_m)


def diffraction_f_number(circle_mm: float) -> float:
    """Aperture at which the Airy disc of green light (550 nm) fills the circle: c / (2.44 lambda).

    Closing further softens the whole picture.

    References
    ----------
    [1] Diameter of the first dark ring, 2.44 lambda N: textbook optics (from memory).

    >>> round(diffraction_f_number(0.01875))
    14
    """
    return circle_mm / (2.44 * 550e-6)
