"""Frame rates that a camera offers, and which one a film asks for."""

from __future__ import annotations

from dataclasses import dataclass
from math import log2

from standmark.geometry.optics.blur import shutter_angle_deg, slow_down
from standmark.geometry.optics.flicker import beat_hz, safe_times_s
from standmark.optimizer.settings.light import Light

# Ripple that we take for invisible: brightest against darkest under a tenth of a stop. Ours, no source.
VISIBLE_SWING_STOPS = 0.1

# Rates that count as the same when footage is conformed: 29.97 and 30, 23.976 and 24.
SAME_RATE_SHARE = 0.002


@dataclass(frozen=True)
class FrameRate:
    """One frame rate on offer."""

    fps: float
    slow_down: float  # with every frame shown at the delivery rate
    plays_evenly: bool  # can also be shown at normal speed by leaving out frames evenly
    light_stops: float  # light lost against the delivery rate at the same shutter angle
    safe_times_s: tuple[float, ...]  # flicker-free exposures; () in steady light
    safe_angles_deg: tuple[float, ...]
    beat_hz: float  # pace at which flicker pulses at other exposures; 0 in steady light
    is_safe: bool  # steady light, or at least one flicker-free exposure


def frame_rate(fps: float, delivery_fps: float, *, light: Light) -> FrameRate:
    """Describe one frame rate under a light.

    >>> from standmark.optimizer.settings.light import lamplight
    >>> from standmark.optimizer.match.light_kinds import LAMPS
    >>> lamps = lamplight(LAMPS["led"], mains_hz=50.0)
    >>> frame_rate(50.0, 25.0, light=lamps).safe_times_s, frame_rate(120.0, 25.0, light=lamps).is_safe
    ((0.01, 0.02), False)
    """
    times = () if light.ripple_hz is None else safe_times_s(fps, light.ripple_hz)
    ratio = slow_down(fps, delivery_fps)
    return FrameRate(
        fps=fps,
        slow_down=ratio,
        plays_evenly=ratio >= 0.99 and abs(ratio - round(ratio)) <= SAME_RATE_SHARE * ratio,
        light_stops=log2(ratio),
        safe_times_s=times,
        safe_angles_deg=tuple(shutter_angle_deg(time_s, fps) for time_s in times),
        beat_hz=0.0 if light.ripple_hz is None else beat_hz(fps, light.ripple_hz),
        is_safe=light.ripple_hz is None or bool(times),
    )


def choose_frame_rate(options: tuple[FrameRate, ...], least_fps: float) -> FrameRate:
    """Slowest rate that is fast enough; under rippling lamps one with a flicker-free exposure goes first.

    When the camera offers nothing fast enough, the fastest that is steady under the lamps and a whole multiple of the
    delivery rate is taken.

    >>> from standmark.optimizer.settings.light import daylight
    >>> from standmark.optimizer.match.light_kinds import SKIES
    >>> sun = daylight(SKIES["sun"])
    >>> choose_frame_rate(tuple(frame_rate(fps, 25.0, light=sun) for fps in (25.0, 50.0, 100.0)), 50.0).fps
    50.0
    """
    enough = [option for option in options if option.fps >= least_fps * (1.0 - SAME_RATE_SHARE)]
    if not enough:
        return max(options, key=lambda option: (option.is_safe, option.plays_evenly, option.fps))
    return min(enough, key=lambda option: (not option.is_safe, not option.plays_evenly, option.fps))
