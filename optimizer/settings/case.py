"""One shot to be settled: its facts, the settings reached so far and how far the exposure still is off."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import log2

from standmark.geometry.optics.blur import blur_px
from standmark.geometry.optics.exposure import iso_needed, nd_factor
from standmark.geometry.optics.flicker import is_safe_time, ripple_left, swing_stops
from standmark.geometry.optics.marked import ISO_SETTINGS
from standmark.optimizer.settings.frame_rate import VISIBLE_SWING_STOPS
from standmark.optimizer.settings.light import Light
from standmark.optimizer.settings.notation import SayLength, length_text
from standmark.optimizer.settings.shot import Controls, FilmWish, Shot, px_per_m

# Half the distance between two marks (plus the rounding of their names): nothing nearer can be set.
MARK_STOPS = 0.2


@dataclass(frozen=True)
class Case:
    """Everything a decision looks at."""

    shot: Shot
    controls: Controls
    wish: FilmWish
    light: Light
    say_length: SayLength = length_text


@dataclass(frozen=True)
class Settings:
    """What is set on the camera."""

    fps: float
    time_s: float
    f_number: float
    iso: float
    nd_stops: float = 0.0


@dataclass(frozen=True)
class Step:
    """One decision, the settings after it and how far the exposure still is off."""

    about: str
    text: str
    settings: Settings
    balance_stops: float  # below 0 too dark, above 0 too bright


Adjustment = Callable[[Case, Settings], Step | None]


def taken_in_order(case: Case, start: Settings, remedies: tuple[Adjustment, ...]) -> tuple[Step, ...]:
    """Take remedies in their order until the exposure is right or none is left; one that does not help is skipped."""
    steps: list[Step] = []
    for remedy in remedies:
        settings = steps[-1].settings if steps else start
        if is_right(settings, case.light):
            break
        step = remedy(case, settings)
        steps += [step] if step else []
    return tuple(steps)


def balance_stops(settings: Settings, light: Light) -> float:
    """Exposure against the right one: log2(ISO E t / (C N^2)) - ND; below 0 too dark [stops]."""
    needed = iso_needed(light.lux, settings.f_number, settings.time_s)
    return log2(settings.iso / needed) - settings.nd_stops


def is_right(settings: Settings, light: Light) -> bool:
    """Whether the exposure is as near as the marks allow."""
    return abs(balance_stops(settings, light)) <= MARK_STOPS


def with_iso(settings: Settings, case: Case, highest: float) -> Settings:
    """Set the marked ISO nearest to the right exposure, up to a limit."""
    needed = iso_needed(case.light.lux, settings.f_number, settings.time_s) * nd_factor(settings.nd_stops)
    marked = min(ISO_SETTINGS, key=lambda iso: abs(log2(iso / needed)))
    second = case.controls.second_base_iso
    if second is not None and second / 2.0 < marked < second <= highest:  # just under a second base noise is worst
        marked = second
    return replace(settings, iso=min(max(marked, case.controls.iso[0]), highest))


def is_ripple_visible(time_s: float, light: Light) -> bool:
    """Whether the ripple that this exposure leaves can be seen."""
    if light.ripple_hz is None or is_safe_time(time_s, light.ripple_hz):
        return False
    return swing_stops(light.modulation * ripple_left(time_s, light.ripple_hz)) > VISIBLE_SWING_STOPS


def smears_px(time_s: float, case: Case) -> tuple[float, float]:
    """Smear of player and ball at an exposure time [px]."""
    density = px_per_m(case.shot, case.controls.mode)
    return (
        blur_px(case.shot.player_m_s, time_s, px_per_m=density),
        blur_px(case.shot.ball_m_s, time_s, px_per_m=density),
    )
