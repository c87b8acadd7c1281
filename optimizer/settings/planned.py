"""From a plan to settings cards: each camera, period and group of key moments, with the plan's own distances."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime

from standmark.geometry.kept import kept
from standmark.geometry.optics.camera import Lens, RecordingMode
from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.match.weather import Weather
from standmark.optimizer.planning import Plan
from standmark.optimizer.settings.card import SettingsCard, settings_card
from standmark.optimizer.settings.case import Settings
from standmark.optimizer.settings.light import Light
from standmark.optimizer.settings.light_path import AFTER_MIN, LightAt, light_changes, match_light, match_lights
from standmark.optimizer.settings.moment_group import MomentGroup, moment_groups
from standmark.optimizer.settings.notation import SayLength, length_text
from standmark.optimizer.settings.set_up import SetUpLine, set_up
from standmark.optimizer.settings.shot import Controls, FilmWish, Shot
from standmark.optimizer.value.outfit import Outfit, asked_fps, camera_outfits, delivery_fps
from standmark.optimizer.value.targets import period_targets
from standmark.optimizer.work.assignment import Assignment
from standmark.optimizer.work.hold import hold_at
from standmark.sports.sport import Period
from standmark.sports.timeline import later, period_starts_min

TOO_DARK_STOPS = 1.0  # short with everything given: lifted later it shows noise and little else; ours, no source
# Half the smear of the film convention, which is 180 degrees: bodies and shirt numbers stay legible. Slow motion
# is short of light and smears little as it is. Common practice, no source.
USUAL_SHUTTER_DEG = 90.0
SHUTTER_DEG = {"slow-motion": 180.0}


@dataclass(frozen=True)
class DialChange:
    """Settings that follow the light."""

    at: datetime
    settings: Settings
    lux: float


@dataclass(frozen=True)
class PlannedCard:
    """Settings of one camera for one group of moments in one period."""

    camera: str
    period: str  # key
    group: MomentGroup
    card: SettingsCard  # for the light at the start of the period
    changes: tuple[DialChange, ...] = ()  # later in the period, each time the light is a stop away
    dark_from: datetime | None = None  # from then on nothing exposes the shot


def planned_cards(
    plan: Plan, *, say_length: SayLength = length_text, weather: Weather | None = None
) -> tuple[PlannedCard, ...]:
    """Work out the settings for every camera, period and group of moments of a plan.

    Parameters
    ----------
    weather : another than that of the match
    """
    match = plan.match
    if weather is not None:
        match = replace(match, filming=replace(match.filming, weather=weather))
    lights, wish = match_lights(match), match_wish(match)
    return tuple(
        planned
        for index, camera in enumerate(plan.match.cameras)
        for period in plan.periods
        for planned in _cards(
            match,
            period.period,
            camera,
            period.assignments[index].lens,
            groups=_groups(plan.match, period.period, camera, period.assignments[index]),
            lights=period_lights(match, period.period, lights),
            wish=wish,
            say_length=say_length,
        )
    )


def period_lights(match: Match, period: Period, lights: tuple[LightAt, ...]) -> tuple[LightAt, ...]:
    """Those of a match's lights in which a period is filmed, its break left out; empty where none are known."""
    if match.start is None:
        return ()
    index = match.sport.periods.index(period)
    start_min = period_starts_min(match.sport.periods)[index]
    extra_min = AFTER_MIN if index == len(match.sport.periods) - 1 else 0.0
    first, last = (later(match.start, m) for m in (start_min, start_min + period.minutes + extra_min))
    return tuple(now for now in lights if first.timestamp() <= now.at.timestamp() <= last.timestamp())


def match_wish(match: Match) -> FilmWish:
    """Tell what the film asks of frame rate, shutter and aperture; the delivery rate follows the mains."""
    filming = match.filming
    return FilmWish(
        delivery_fps=delivery_fps(match),
        least_fps=asked_fps(match),
        shutter_deg=filming.shutter_deg or SHUTTER_DEG.get(match.deliverable.key, USUAL_SHUTTER_DEG),
        shutter_s=filming.shutter_s,
        f_number=filming.f_number,
        profile=filming.profile,
        over_stops=filming.log_over_stops if filming.profile == "log" else 0.0,
    )


def match_controls(match: Match, camera: Camera, mode: RecordingMode) -> Controls:
    """What can be set on a camera in a mode; in log its ISO begins at the base for log."""
    body, lowest = camera.body, camera.body.iso[0]
    if match.filming.profile == "log" and body.log_base_iso is not None:
        lowest = body.log_base_iso
    iso = lowest, max(body.iso[1], lowest), body.iso[2]
    return Controls(mode, iso, body.filters, body.readout_s, body.second_base_iso)


@kept(64)  # asked for again under other skies
def _groups(match: Match, period: Period, camera: Camera, assignment: Assignment) -> tuple[MomentGroup, ...]:
    outfit = _outfit(match, camera, assignment.lens)
    return moment_groups(match, period_targets(match, period), assignment, outfit=outfit)


def _outfit(match: Match, camera: Camera, lens: Lens) -> Outfit:
    return next(outfit for outfit in camera_outfits(match, camera) if outfit.lens == lens)


def _cards(
    match: Match,
    period: Period,
    camera: Camera,
    lens: Lens,
    *,
    groups: tuple[MomentGroup, ...],
    lights: tuple[LightAt, ...],
    wish: FilmWish,
    say_length: SayLength,
) -> tuple[PlannedCard, ...]:
    controls = match_controls(match, camera, _outfit(match, camera, lens).mode)

    def card_in(shot: Shot, light: Light) -> SettingsCard:
        return settings_card(shot, controls, wish=wish, light=light, say_length=say_length)

    def planned(group: MomentGroup) -> PlannedCard:
        changes = [(now, card_in(group.shot, now.light)) for now in light_changes(lights)[1:]]
        first = card_in(group.shot, lights[0].light if lights else match_light(match))
        return PlannedCard(
            camera.name,
            period.key,
            group,
            first,
            tuple(DialChange(now.at, card.settings, now.light.lux) for now, card in changes),
            _dark_from(lights, lambda light: card_in(group.shot, light).balance_stops),
        )

    return tuple(planned(group) for group in groups)


def _dark_from(lights: tuple[LightAt, ...], balance_stops: Callable[[Light], float]) -> datetime | None:
    """First time from which a shot is too dark as the light falls; None if it never is."""
    is_falling = bool(lights) and lights[-1].light.lux < lights[0].light.lux
    if not is_falling or balance_stops(lights[-1].light) > -TOO_DARK_STOPS:
        return None
    return next(now.at for now in lights if balance_stops(now.light) <= -TOO_DARK_STOPS)


def planned_set_up(plan: Plan, cards: tuple[PlannedCard, ...], camera: Camera) -> tuple[SetUpLine, ...]:
    """List what to set once on a camera of a plan, for its first period."""
    period, index = plan.periods[0], plan.match.cameras.index(camera)
    assignment = period.assignments[index]
    own = [p for p in cards if p.camera == camera.name and p.period == period.period.key]
    outfit = _outfit(plan.match, camera, assignment.lens)
    return set_up(
        plan.match,
        camera,
        [planned.card for planned in own],
        controls=match_controls(plan.match, camera, outfit.mode),
        wish=match_wish(plan.match),
        support=hold_at(plan.match, camera, assignment.spot).support,
    )
