"""The settings card of one camera for one group of moments."""

from __future__ import annotations

from dataclasses import dataclass, replace

from standmark.geometry.optics.flicker import ripple_left, swing_stops
from standmark.geometry.optics.focus import focus_for_zone_m
from standmark.optimizer.settings.case import Case, Settings, Step, is_ripple_visible
from standmark.optimizer.settings.focus_area import focus_area
from standmark.optimizer.settings.frame_rate import (
    SAME_RATE_SHARE,
    FrameRate,
    choose_frame_rate,
    frame_rate,
)
from standmark.optimizer.settings.light import Light
from standmark.optimizer.settings.notation import (
    SayLength,
    length_text,
    number_text,
    percent_text,
    stops_text,
    time_text,
)
from standmark.optimizer.settings.resolve import resolve
from standmark.optimizer.settings.sharpness import Aperture, aperture
from standmark.optimizer.settings.shot import Controls, FilmWish, Shot, frame_share, px_per_m
from standmark.optimizer.settings.shutter import Shutter, shutter, shutter_table


@dataclass(frozen=True)
class SettingsCard:
    """What to set for a shot, what it costs and why."""

    shot: Shot
    light: Light
    px_per_m: float
    frame_share: float  # of the frame height, filled by the subject
    rates: tuple[FrameRate, ...]
    rate: FrameRate  # the one chosen
    settings: Settings
    shutter: Shutter  # the one chosen
    shutters: tuple[Shutter, ...]  # 360, 180, 90 and 45 degrees at the chosen rate
    aperture: Aperture
    balance_stops: float  # below 0: a shortfall
    steps: tuple[Step, ...]
    warnings: tuple[str, ...]
    focus_area: str
    white_balance: str


def settings_card(
    shot: Shot, controls: Controls, *, wish: FilmWish, light: Light, say_length: SayLength = length_text
) -> SettingsCard:
    """Work out the settings for a shot in a light, with the reasons; `say_length` puts metres into words."""
    rates = tuple(frame_rate(fps, wish.delivery_fps, light=light) for fps in sorted(controls.mode.fps))
    rate = choose_frame_rate(rates, wish.least_fps)
    metered = replace(light, lux=light.lux / 2.0**wish.over_stops)  # so much more exposure is wanted
    case = Case(shot, controls, wish, metered, say_length)
    steps = resolve(case, rate)
    settings = steps[-1].settings
    sharp = aperture(settings.f_number, shot=shot, controls=controls, wish=wish)
    share = frame_share(shot, controls.mode)
    return SettingsCard(
        shot=shot,
        light=light,
        px_per_m=px_per_m(shot, controls.mode),
        frame_share=share,
        rates=rates,
        rate=rate,
        settings=settings,
        shutter=shutter(settings.time_s, rate.fps, shot=shot, controls=controls, light=light),
        shutters=shutter_table(rate.fps, shot=shot, controls=controls, light=light),
        aperture=sharp,
        balance_stops=steps[-1].balance_stops,
        steps=steps,
        warnings=(*_rate_warnings(rate, wish), *_flicker_warnings(case, rates, settings), *_light_warnings(steps)),
        focus_area=focus_area(share, by_hand=say_length(_focus_by_hand_m(shot))),
        white_balance=light.white_balance,
    )


def _rate_warnings(rate: FrameRate, wish: FilmWish) -> tuple[str, ...]:
    if rate.fps >= wish.least_fps * (1.0 - SAME_RATE_SHARE):
        return ()
    return (
        f"The film asks for {number_text(wish.least_fps, decimals=3)} frames a second; this camera stops at "
        f"{number_text(rate.fps, decimals=3)}.",
    )


def _flicker_warnings(case: Case, rates: tuple[FrameRate, ...], settings: Settings) -> tuple[str, ...]:
    light = case.light
    if light.ripple_hz is None or light.modulation <= 0.0:
        return ()
    hopeless = [number_text(rate.fps, decimals=3) for rate in rates if not rate.is_safe]
    warnings = []
    if hopeless:
        warnings.append(
            f"No shutter is free of flicker at {' or '.join(hopeless)} frames a second under lamps that pulse at "
            f"{number_text(light.ripple_hz)} Hz: film a test, or stay slower."
        )
    if is_ripple_visible(settings.time_s, light):
        swing = swing_stops(light.modulation * ripple_left(settings.time_s, light.ripple_hz))
        warnings.append(
            f"{time_text(settings.time_s)} swings by up to {stops_text(swing)} between frames or rows, with lamps "
            f"taken to ripple by {percent_text(light.modulation)} ({light.modulation_source})."
        )
    return tuple(warnings)


def _light_warnings(steps: tuple[Step, ...]) -> tuple[str, ...]:
    return tuple(step.text for step in steps if step.about in ("shortfall", "excess"))


def _focus_by_hand_m(shot: Shot) -> float:
    near_m = max(shot.distance_m - shot.depth_m / 2.0, shot.distance_m / 4.0)
    return focus_for_zone_m(near_m, shot.distance_m + shot.depth_m / 2.0)
