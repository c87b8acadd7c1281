"""Too much light: a third or half a stop of aperture, neutral density, more aperture, a faster shutter, what is over.

ISO stays at its base: no filter is taken stronger than needed only to be paid for with ISO.
"""

from __future__ import annotations

from dataclasses import replace

from standmark.geometry.optics.exposure import aperture_stops, nd_factor
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

TRIM_STOPS = 0.5  # of aperture, that nobody sees in the depth of field; common practice, no source
ISO_STOPS = 1.0 / 3.0  # one mark: base ISO is otherwise kept
MARK_ROUNDING_STOPS = 0.06  # marked apertures are rounded: f/5.6 is a full stop from f/4 by name only


def remedies_for_too_much_light(case: Case, start: Settings) -> tuple[Step, ...]:
    """Take the remedies in their order until the exposure is right or none is left."""
    return taken_in_order(case, start, (_trim_aperture, _add_filter, _close_aperture, _speed_shutter, _state_excess))


def _over_stops(settings: Settings, case: Case) -> float:
    return max(0.0, balance_stops(settings, case.light))


def _left_text(settings: Settings, case: Case) -> str:
    over = _over_stops(settings, case)
    return f"{stops_text(over)} still over" if over > MARK_STOPS else "nothing over"


def _trim_aperture(case: Case, settings: Settings) -> Step | None:
    """Close by up to half a stop, where that is all it takes."""
    if _over_stops(settings, case) > TRIM_STOPS + MARK_STOPS:
        return None
    return _close_aperture(case, settings)


def _add_filter(case: Case, settings: Settings) -> Step | None:
    """Take the filter that leaves least over or short, with up to half a stop of aperture and a third of ISO."""
    options = [_with_filter(case, settings, strength) for strength in _strengths(case, _over_stops(settings, case))]
    options = [option for option in options if balance_stops(option, case.light) >= -ISO_STOPS - MARK_ROUNDING_STOPS]
    if not options:
        return None
    filtered = min(options, key=lambda option: (abs(balance_stops(option, case.light)), option.nd_stops))
    if balance_stops(filtered, case.light) < -MARK_STOPS:
        filtered = with_iso(filtered, case, case.controls.iso[1])
    filter_text = f"Neutral density of {stops_text(filtered.nd_stops)} (ND {nd_factor(filtered.nd_stops):.0f})"
    trimmed = f", {aperture_text(filtered.f_number)}" if filtered.f_number != settings.f_number else ""
    trimmed += f", ISO {filtered.iso:.0f}" if filtered.iso != settings.iso else ""
    text = f"{filter_text}{trimmed}; {_left_text(filtered, case)}."
    return Step("neutral density", text, filtered, balance_stops(filtered, case.light))


def _strengths(case: Case, over_stops: float) -> list[float]:
    """Strengths at hand that take no more light than half a stop of aperture and a third of ISO could give back."""
    filters = case.controls.filters
    strengths = [s for s in filters.fixed_stops if s <= over_stops + TRIM_STOPS + ISO_STOPS]
    if filters.variable_stops is not None and over_stops >= filters.variable_stops[0] - TRIM_STOPS:
        low, high = filters.variable_stops
        strengths.append(min(max(over_stops, low), high))
    return [s for s in strengths if s > 0.0]


def _with_filter(case: Case, settings: Settings, strength: float) -> Settings:
    """Settings behind a filter, the aperture moved by up to half a stop to what is then right."""
    filtered = replace(settings, nd_stops=strength)
    off = balance_stops(filtered, case.light)
    near = [
        f_number
        for f_number in F_NUMBERS
        if abs(aperture_stops(settings.f_number, f_number)) <= TRIM_STOPS + MARK_ROUNDING_STOPS
        and case.shot.widest_f_number <= f_number <= smallest_useful_aperture(case.controls, case.wish)
    ]
    if case.wish.f_number is not None or abs(off) <= MARK_STOPS or not near:
        return filtered
    return min(
        (replace(filtered, f_number=f_number) for f_number in near),
        key=lambda option: abs(balance_stops(option, case.light)),
    )


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
    text = f"Still {stops_text(over)} over: bring a stronger neutral density filter."
    return Step("excess", text, settings, over)
