"""Too little light: open the aperture, raise ISO, slow the shutter, and state what is still short."""

from __future__ import annotations

from dataclasses import replace

from standmark.geometry.optics.exposure import aperture_stops
from standmark.geometry.optics.flicker import safe_times_s
from standmark.geometry.optics.marked import F_NUMBERS, TIMES_S, marked_at_least, marked_at_most
from standmark.optimizer.settings.case import (
    MARK_STOPS,
    Case,
    Settings,
    Step,
    balance_stops,
    is_ripple_visible,
    smears_px,
    taken_in_order,
    with_iso,
)
from standmark.optimizer.settings.notation import aperture_text, pixels_text, stops_text, time_text
from standmark.optimizer.settings.sharpness import aperture


def remedies_for_too_little_light(case: Case, start: Settings) -> tuple[Step, ...]:
    """Take the remedies in their order until the exposure is right or none is left."""
    return taken_in_order(case, start, (_open_aperture, _raise_iso, _slow_shutter, _state_shortfall))


def _short_stops(settings: Settings, case: Case) -> float:
    return max(0.0, -balance_stops(settings, case.light))


def _left_text(settings: Settings, case: Case) -> str:
    short = _short_stops(settings, case)
    return f"{stops_text(short)} still short" if short > MARK_STOPS else "nothing short"


def _open_aperture(case: Case, settings: Settings) -> Step | None:
    enough = settings.f_number / 2.0 ** (_short_stops(settings, case) / 2.0)
    f_number = max(marked_at_most(F_NUMBERS, enough), case.shot.widest_f_number)
    if f_number >= settings.f_number:
        return None
    opened = with_iso(replace(settings, f_number=f_number), case, case.controls.iso[1])
    sharp = aperture(f_number, shot=case.shot, controls=case.controls, wish=case.wish)
    gain = aperture_stops(settings.f_number, f_number)
    text = (
        f"Open to {aperture_text(f_number)}: gives back {stops_text(gain)} and leaves {case.say_length(sharp.depth_m)} "
        f"sharp, {case.say_length(sharp.near_m)} to {case.say_length(sharp.far_m)}; {_left_text(opened, case)}."
    )
    return Step("open the aperture", text, opened, balance_stops(opened, case.light))


def _raise_iso(case: Case, settings: Settings) -> Step | None:
    raised = with_iso(settings, case, case.controls.iso[2])
    if raised.iso <= settings.iso:
        return None
    text = f"Raise ISO to {raised.iso:.0f}, above the clean limit: more noise; {_left_text(raised, case)}."
    return Step("raise ISO", text, raised, balance_stops(raised, case.light))


def _slow_shutter(case: Case, settings: Settings) -> Step | None:
    needed_s = settings.time_s * 2.0 ** _short_stops(settings, case)
    time_s = _slower_time_s(needed_s, settings, case)
    if time_s <= settings.time_s * 1.001:
        return None
    slowed = with_iso(replace(settings, time_s=time_s), case, case.controls.iso[2])
    player_px, ball_px = smears_px(time_s, case)
    ball = f", ball {pixels_text(ball_px)}" if case.shot.ball_m_s > 0.0 else ""
    flicker = " and flicker" if is_ripple_visible(time_s, case.light) else ""
    text = (
        f"Slow the shutter to {time_text(time_s)}: smear grows to {pixels_text(player_px)} for the player{ball}"
        f"{flicker}; {_left_text(slowed, case)}."
    )
    return Step("slow the shutter", text, slowed, balance_stops(slowed, case.light))


def _slower_time_s(needed_s: float, settings: Settings, case: Case) -> float:
    """Shortest time that is long enough, or the longest there is; free of flicker where such times exist."""
    longest_s = 1.0 / settings.fps
    marked_s = min(marked_at_least(TIMES_S, needed_s), longest_s)
    if case.light.ripple_hz is None or not is_ripple_visible(marked_s, case.light):
        return marked_s
    safe = [time_s for time_s in safe_times_s(settings.fps, case.light.ripple_hz) if time_s > settings.time_s]
    if not safe:
        return settings.time_s if safe_times_s(settings.fps, case.light.ripple_hz) else marked_s
    return min((time_s for time_s in safe if time_s >= needed_s * 0.999), default=max(safe))


def _state_shortfall(case: Case, settings: Settings) -> Step:
    short = _short_stops(settings, case)
    text = (
        f"{stops_text(short)} short with everything given: a faster lens, a slower frame rate, more light, "
        f"or a picture that must be lifted later, with noise."
    )
    return Step("shortfall", text, settings, -short)
