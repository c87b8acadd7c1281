"""The recorded area of a sensor and the lens in front of it: plain descriptions, no place in the world yet."""

from __future__ import annotations

from dataclasses import dataclass


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
    """What carries the camera, and how fast its operator can follow with it."""

    name: str
    pan_deg_s: float  # pan rate at which half the moments are lost
    tilt_deg_s: float
