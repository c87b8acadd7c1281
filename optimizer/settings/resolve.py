"""Settle the settings of one shot: each wish in turn, then who gives way when light is short or too much.

The order is fixed and shown, so that a reader can follow it and overrule it.
"""

from __future__ import annotations

from dataclasses import replace

from standmark.geometry.optics.blur import shutter_angle_deg, shutter_time_s
from standmark.geometry.optics.flicker import nearest_safe_time_s, ripple_left, swing_stops
from standmark.optimizer.settings.case import (
    Case,
    Settings,
    Step,
    balance_stops,
    is_right,
    is_ripple_visible,
    smears_px,
    with_iso,
)
from standmark.optimizer.settings.frame_rate import SAME_RATE_SHARE, FrameRate
from standmark.optimizer.settings.notation import (
    aperture_text,
    number_text,
    percent_text,
    pixels_text,
    stops_text,
    time_text,
)
from standmark.optimizer.settings.sharpness import aperture, wanted_f_number
from standmark.optimizer.settings.too_bright import remedies_for_too_much_light
from standmark.optimizer.settings.too_dark import remedies_for_too_little_light

ORDER = (
    "frame rate for the film",
    "shutter for the look",
    "a flicker-free time near it",
    "aperture for the depth of the action",
    "ISO up to the clean limit",
    "too dark: open the aperture, ISO to the highest usable, a slower shutter, then say what is short",
    "too bright: half a stop of aperture, neutral density, more aperture, a faster shutter, then say what is over",
)


def resolve(case: Case, rate: FrameRate) -> tuple[Step, ...]:
    """Settle a shot at a frame rate.

    Returns
    -------
    the decisions in the order of ORDER; the last one holds the settings to use
    """
    steps = _wishes(case, rate)
    last = steps[-1]
    if is_right(last.settings, case.light):
        return steps
    if last.balance_stops < 0.0:
        return steps + remedies_for_too_little_light(case, last.settings)
    return steps + remedies_for_too_much_light(case, last.settings)


def _wishes(case: Case, rate: FrameRate) -> tuple[Step, ...]:
    """Take the decisions that do not look at the amount of light, then the ISO that goes with them."""
    f_number = wanted_f_number(shot=case.shot, controls=case.controls, wish=case.wish)
    wanted = Settings(rate.fps, _wanted_time_s(case, rate.fps), f_number, case.controls.iso[0])
    safe = replace(wanted, time_s=_flicker_free_time_s(wanted.time_s, rate.fps, case))
    settled = with_iso(safe, case, case.controls.iso[1])
    return (
        _step("frame rate", _frame_rate_text(rate, case), wanted, case),
        _step("shutter", _shutter_text(wanted, case), wanted, case),
        *([_step("flicker", _flicker_text(wanted, safe, rate, case), safe, case)] if case.light.ripple_hz else []),
        _step("aperture", _aperture_text(safe, case), safe, case),
        _step("ISO", _iso_text(settled, case), settled, case),
    )


def _step(about: str, text: str, settings: Settings, case: Case) -> Step:
    return Step(about, text, settings, balance_stops(settings, case.light))


def _wanted_time_s(case: Case, fps: float) -> float:
    if case.wish.shutter_s is not None:
        return min(case.wish.shutter_s, 1.0 / fps)
    return shutter_time_s(case.wish.shutter_deg, fps)


def _flicker_free_time_s(wanted_s: float, fps: float, case: Case) -> float:
    if case.light.ripple_hz is None or not is_ripple_visible(wanted_s, case.light):
        return wanted_s
    return nearest_safe_time_s(wanted_s, fps, case.light.ripple_hz) or wanted_s


def _frame_rate_text(rate: FrameRate, case: Case) -> str:
    fps, asked = number_text(rate.fps, decimals=3), number_text(case.wish.least_fps, decimals=3)
    if rate.fps < case.wish.least_fps * (1.0 - SAME_RATE_SHARE):
        return f"{fps} frames a second is the fastest this camera offers; the film asks for {asked}."
    text = f"{fps} frames a second, for the {asked} the film asks for"
    if rate.slow_down > 1.0 + SAME_RATE_SHARE:
        text += (
            f"; shown at {number_text(case.wish.delivery_fps, decimals=3)} it runs {rate.slow_down:.1f} times slower"
        )
    return text + "."


def _shutter_text(wanted: Settings, case: Case) -> str:
    player_px, ball_px = smears_px(wanted.time_s, case)
    share = case.shot.player_m_s * wanted.time_s / case.shot.subject_m
    angle = number_text(shutter_angle_deg(wanted.time_s, wanted.fps))
    text = (
        f"{time_text(wanted.time_s)} ({angle} degrees): a player at {number_text(case.shot.player_m_s)} m/s smears "
        f"{pixels_text(player_px)}, {percent_text(share)} of body height"
    )
    if case.shot.ball_m_s > 0.0:
        text += f"; the ball at {number_text(case.shot.ball_m_s)} m/s {pixels_text(ball_px)}"
    return text + "."


def _flicker_text(wanted: Settings, safe: Settings, rate: FrameRate, case: Case) -> str:
    ripple_hz = case.light.ripple_hz or 0.0
    if not is_ripple_visible(wanted.time_s, case.light):
        return f"{time_text(wanted.time_s)} shows no flicker in light that pulses at {number_text(ripple_hz)} Hz."
    swing = swing_stops(case.light.modulation * ripple_left(wanted.time_s, ripple_hz))
    pulse = f", pulsing {number_text(rate.beat_hz)} times a second" if rate.beat_hz > 0.0 else ""
    swing_text = (
        f"{time_text(wanted.time_s)} would swing by up to {stops_text(swing)}{pulse} "
        f"(lamps taken to ripple by {percent_text(case.light.modulation)})"
    )
    if safe.time_s == wanted.time_s:
        fps = number_text(rate.fps, decimals=3)
        return f"{swing_text}, and no time at {fps} frames a second is free of flicker."
    return f"{swing_text}; {time_text(safe.time_s)} is a whole number of light pulses and free of it."


def _aperture_text(settings: Settings, case: Case) -> str:
    sharp = aperture(settings.f_number, shot=case.shot, controls=case.controls, wish=case.wish)
    reason = (
        "as asked" if case.wish.f_number is not None else f"for {case.say_length(case.shot.depth_m)} of action in depth"
    )
    return (
        f"{aperture_text(settings.f_number)}, {reason}: sharp from {case.say_length(sharp.near_m)} to "
        f"{case.say_length(sharp.far_m)} with the focus at {case.say_length(case.shot.distance_m)}."
    )


def _iso_text(settled: Settings, case: Case) -> str:
    off = balance_stops(settled, case.light)
    lux = case.light.lux * 2.0**case.wish.over_stops
    start = f"ISO {settled.iso:.0f} in {lux:.0f} lux"
    if is_right(settled, case.light):
        return f"{start} gives the correct exposure."
    if off < 0.0:
        return f"{start} is {stops_text(-off)} short at the highest clean setting."
    return f"{start} is {stops_text(off)} over at the lowest setting."
