"""Blur and flicker of the usual shutters in words, for the tables of the settings."""

from __future__ import annotations

from collections.abc import Iterator

from standmark.optimizer.settings.notation import number_text, percent_text, pixels_text, stops_text, time_text
from standmark.optimizer.settings.planned import PlannedCard
from standmark.optimizer.settings.shot import Shot
from standmark.optimizer.settings.shutter import Shutter


def shutter_cells(planned: PlannedCard) -> Iterator[tuple[str, ...]]:
    """Angle, time, smear of player and ball, flicker, and the nearest clean time of each usual shutter."""
    for shutter in planned.card.shutters:
        yield (
            f"{number_text(shutter.angle_deg)} deg",
            time_text(shutter.time_s),
            f"{pixels_text(shutter.player_blur_px)}, {percent_text(shutter.player_blur_share)}",
            _ball_text(shutter, planned.group.shot),
            _flicker_text(shutter),
            "-" if shutter.nearest_safe_s is None else time_text(shutter.nearest_safe_s),
        )


def _ball_text(shutter: Shutter, shot: Shot) -> str:
    if shot.ball_m_s == 0.0:
        return "-"
    share = "" if shutter.ball_blur_share is None else f", {percent_text(shutter.ball_blur_share)}"
    return f"{pixels_text(shutter.ball_blur_px)}{share}"


def _flicker_text(shutter: Shutter) -> str:
    """Worst swing, then what makes it: light and dark rows in a frame, frames that differ."""
    if shutter.swing_stops < 0.005:
        return "none"
    low, high = (percent_text(ripple) for ripple in shutter.frame_ripple)
    frames = f", frames {low} to {high}" if shutter.frame_ripple[1] >= 0.0005 else ""
    swing = "too little to see" if shutter.is_clean else stops_text(shutter.swing_stops)
    return f"{swing}: rows {percent_text(shutter.band_ripple)}{frames}"
