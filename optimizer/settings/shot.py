"""A shot to find settings for: what is filmed, from how far, with which lens."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from standmark.geometry.optics.camera import RecordingMode, pixels_per_metre, subject_fraction
from standmark.geometry.optics.exposure import NO_FILTERS, NeutralDensity
from standmark.geometry.optics.focus import CircleRule

Profile = Literal["standard", "log"]


@dataclass(frozen=True)
class Shot:
    """One group of key moments as one camera films it in one period."""

    name: str
    distance_m: float  # lens to the middle of the action
    focal_mm: float
    widest_f_number: float  # of the lens at that focal length
    depth_m: float  # stretch in depth that ought to be sharp
    subject_m: float  # height of the subject
    player_m_s: float
    ball_m_s: float  # 0: no ball in this shot
    ball_m: float | None = None  # diameter of the ball; None: not known


@dataclass(frozen=True)
class Controls:
    """What can be set on a camera body, and what is in the filter pouch."""

    mode: RecordingMode
    iso: tuple[float, float, float] = (100.0, 1600.0, 6400.0)  # lowest, highest clean, highest usable
    filters: NeutralDensity = NO_FILTERS
    readout_s: float | None = None  # rolling shutter, first row to last; 0 global shutter; None not known
    second_base_iso: float | None = None  # of a body with two


@dataclass(frozen=True)
class FilmWish:
    """What the film needs. Anything left open is chosen and the reason told."""

    delivery_fps: float = 25.0
    least_fps: float = 25.0
    shutter_deg: float = 180.0  # wanted shutter angle
    shutter_s: float | None = None  # wanted as a time: goes before the angle
    f_number: float | None = None  # None: the one that holds the depth of the action
    circle_rule: CircleRule = "two pixels"
    profile: Profile = "standard"
    over_stops: float = 0.0  # exposed over the meter, as log is


def px_per_m(shot: Shot, mode: RecordingMode) -> float:
    """Pixel density on the subject [px/m]."""
    return float(pixels_per_metre(shot.distance_m, focal_mm=shot.focal_mm, mode=mode))


def frame_share(shot: Shot, mode: RecordingMode) -> float:
    """Share of the frame height that the subject fills."""
    return float(subject_fraction(shot.subject_m, shot.distance_m, focal_mm=shot.focal_mm, mode=mode))
