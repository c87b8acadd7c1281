"""Too much light: neutral density, a smaller aperture, a faster shutter, and state what is still over."""

from __future__ import annotations

from dataclasses import replace

from standmark.geometry.optics.exposure import nd_factor, strongest_filter_stops, weakest_filter_stops
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
from standmark.optimizer.settings.sharpness import aperture, smallest_useful_aperture


def remedies_for_too_much_light(case: Case, start: Settings) -> tuple[Step, ...]:
    """Take the remedies in their order until the exposure is right or none is left."""
    return taken_in_order(case, start, (_add_filter, _close_aperture, _speed_shutter, _state_excess))


def _over_stops(settings: Settings, case: Case) -> float:
    return max(0.0, balance_stops(settings, case.light))


def _left_text(settings: Settings, case: Case) -> str:
    over = _over_stops(settings, case)
    return f"{stops_text(over)} still over" if over > MARK_STOPS else "nothing over"


def _add_filter(case: Case, settings: Settings) -> Step | None:
    filters = case.controls.filters
    strength = weakest_filter_stops(filters, _over_stops(settings, case)) or strongest_filter_stops(filters)
    if strength <= 0.0:
        return None
    filtered = with_iso(replace(settings, nd_stops=strength), case, case.controls.iso[1])
    iso = f", ISO {filtered.iso:.0f}" if filtered.iso != settings.iso else ""
    filter_text = f"Neutral density of {stops_text(strength)} (ND {nd_factor(strength):.0f})"
    text = f"{filter_text}{iso}; {_left_text(filtered, case)}."
    return Step("neutral density", text, filtered, balance_stops(filtered, case.light))


def _close_aperture(case: Case, settings: Settings) -> Step | None:
    enough = marked_at_least(F_NUMBERS, settings.f_number * 2.0 ** (_over_stops(settings, case) / 2.0))
    f_number = min(enough, smallest_useful_aperture(case.controls, case.wish))
    if f_number <= settings.f_number:
        return None
    closed = with_iso(replace(settings, f_number=f_number), case, case.controls.iso[1])
    sharp = aperture(f_number, shot=case.shot, controls=case.controls, wish=case.wish)
    text = (
        f"Close to {aperture_text(f_number)}: sharp from {case.say_length(sharp.near_m)} to "
        f"{case.say_length(sharp.far_m)}, so the background shows more; {_left_text(closed, case)}. Neutral density of "
        f"{stops_text(_over_stops(settings, case))} would keep {aperture_text(settings.f_number)}."
    )
    return Step("close the aperture", text, closed, balance_stops(closed, case.light))


def _speed_shutter(case: Case, settings: Settings) -> Step | None:
    time_s = _faster_time_s(settings.time_s / 2.0 ** _over_stops(settings, case), settings, case)
    if time_s >= settings.time_s * 0.999:
        return None
    faster = with_iso(replace(settings, time_s=time_s), case, case.controls.iso[1])
    player_px, _ = smears_px(time_s, case)
    text = (
        f"Speed the shutter to {time_text(time_s)}: player smear {pixels_text(player_px)}, "
        f"motion looks choppier; {_left_text(faster, case)}."
    )
    return Step("speed the shutter", text, faster, balance_stops(faster, case.light))


def _faster_time_s(needed_s: float, settings: Settings, case: Case) -> float:
    """Longest time that is short enough; free of flicker where the light ripples visibly."""
    marked_s = marked_at_most(TIMES_S, needed_s)
    if case.light.ripple_hz is None or not is_ripple_visible(marked_s, case.light):
        return marked_s
    safe = [time_s for time_s in safe_times_s(settings.fps, case.light.ripple_hz) if time_s < settings.time_s]
    return max((time_s for time_s in safe if time_s <= needed_s * 1.001), default=min(safe, default=settings.time_s))


def _state_excess(case: Case, settings: Settings) -> Step:
    over = _over_stops(settings, case)
    text = f"{stops_text(over)} over with everything given: bring a stronger neutral density filter."
    return Step("excess", text, settings, over)
