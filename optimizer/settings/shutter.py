"""Shutters side by side: time, blur of player and ball, and what the lamps do at each."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.geometry.optics.blur import blur_px, blur_share, shutter_angle_deg, shutter_time_s
from standmark.geometry.optics.flicker import (
    frame_to_frame,
    is_safe_time,
    nearest_safe_time_s,
    ripple_left,
    rolling_bands,
    swing_stops,
)
from standmark.optimizer.settings.frame_rate import VISIBLE_SWING_STOPS
from standmark.optimizer.settings.light import Light
from standmark.optimizer.settings.shot import Controls, Shot, px_per_m

SHUTTER_ANGLES_DEG = (360.0, 180.0, 90.0, 45.0)
MAINS_DRIFT = 0.01  # EN 50160: within 1 percent for 99.5 percent of a year; a generator may be worse


@dataclass(frozen=True)
class Shutter:
    """One exposure time at one frame rate."""

    angle_deg: float
    time_s: float
    player_blur_px: float  # straight across the picture at the stated speed
    player_blur_share: float  # of the player's height
    ball_blur_px: float
    ball_blur_share: float | None  # of the ball's diameter; None: not known
    frame_ripple: tuple[float, float]  # frame to frame, least and most peak-to-peak, share of the mean
    band_ripple: float  # within a frame of a rolling shutter, worst peak-to-peak, share of the mean
    swing_stops: float  # brightest against darkest that can meet in the footage
    drift_swing_stops: float  # the same when the mains is MAINS_DRIFT off its nominal frequency
    is_clean: bool  # no ripple at all, or too little to see
    nearest_safe_s: float | None  # flicker-free time fewest stops away; None: steady light, or there is none


def shutter(time_s: float, fps: float, *, shot: Shot, controls: Controls, light: Light) -> Shutter:
    """Describe one exposure time for a shot."""
    density = px_per_m(shot, controls.mode)
    amplitude, frames, bands = _ripple(time_s, fps, controls, light)
    return Shutter(
        angle_deg=shutter_angle_deg(time_s, fps),
        time_s=time_s,
        player_blur_px=blur_px(shot.player_m_s, time_s, px_per_m=density),
        player_blur_share=blur_share(shot.player_m_s, time_s, subject_m=shot.subject_m),
        ball_blur_px=blur_px(shot.ball_m_s, time_s, px_per_m=density),
        ball_blur_share=blur_share(shot.ball_m_s, time_s, subject_m=shot.ball_m) if shot.ball_m else None,
        frame_ripple=frames,
        band_ripple=bands,
        swing_stops=swing_stops(amplitude),
        drift_swing_stops=_drift_swing_stops(time_s, light),
        is_clean=_is_clean(time_s, light, amplitude),
        nearest_safe_s=None if light.ripple_hz is None else nearest_safe_time_s(time_s, fps, light.ripple_hz),
    )


def shutter_table(fps: float, *, shot: Shot, controls: Controls, light: Light) -> tuple[Shutter, ...]:
    """Describe the usual shutter angles at one frame rate."""
    return tuple(
        shutter(shutter_time_s(angle_deg, fps), fps, shot=shot, controls=controls, light=light)
        for angle_deg in SHUTTER_ANGLES_DEG
    )


def _ripple(time_s: float, fps: float, controls: Controls, light: Light) -> tuple[float, tuple[float, float], float]:
    """Amplitude left by the exposure, ripple between frames and ripple within one."""
    if light.ripple_hz is None:
        return 0.0, (0.0, 0.0), 0.0
    amplitude = light.modulation * ripple_left(time_s, light.ripple_hz)
    frames = frame_to_frame(time_s, fps, ripple_hz=light.ripple_hz, modulation=light.modulation)
    unknown_s = 0.5 / light.ripple_hz  # long enough for the brightest and the darkest row to meet
    bands = rolling_bands(
        time_s,
        fps,
        ripple_hz=light.ripple_hz,
        modulation=light.modulation,
        readout_s=unknown_s if controls.readout_s is None else controls.readout_s,
        rows=controls.mode.height_px,
    )
    return amplitude, frames, bands.peak_to_peak


def _is_clean(time_s: float, light: Light, amplitude: float) -> bool:
    if light.ripple_hz is None or is_safe_time(time_s, light.ripple_hz):
        return True
    return swing_stops(amplitude) <= VISIBLE_SWING_STOPS


def _drift_swing_stops(time_s: float, light: Light) -> float:
    if light.ripple_hz is None:
        return 0.0
    drifted = (light.ripple_hz * (1.0 + sign * MAINS_DRIFT) for sign in (-1.0, 1.0))
    return max(swing_stops(light.modulation * ripple_left(time_s, ripple_hz)) for ripple_hz in drifted)
