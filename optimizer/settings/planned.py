"""From a plan to settings cards: each camera, period and group of key moments, with the plan's own distances."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.optimizer.match.light_kinds import LAMPS, SKIES, Sky
from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.settings.card import SettingsCard, settings_card
from standmark.optimizer.settings.light import Light, daylight, lamplight
from standmark.optimizer.settings.moment_group import MomentGroup, moment_groups
from standmark.optimizer.settings.notation import SayLength, length_text
from standmark.optimizer.settings.shot import Controls, FilmWish
from standmark.optimizer.value.outfit import camera_outfits
from standmark.optimizer.value.targets import period_targets
from standmark.optimizer.work.assignment import Assignment
from standmark.sports.sport import Period

SKY_WITHOUT_FORECAST = "bright cloud"
# Half the smear of the film convention, which is 180 degrees: bodies and shirt numbers stay legible. Slow motion
# is short of light and smears little as it is. Common practice, no source.
USUAL_SHUTTER_DEG = 90.0
SHUTTER_DEG = {"slow-motion": 180.0}


@dataclass(frozen=True)
class PlannedCard:
    """Settings of one camera for one group of moments in one period."""

    camera: str
    period: str  # key
    group: MomentGroup
    card: SettingsCard


def planned_cards(plan: Plan, *, say_length: SayLength = length_text) -> tuple[PlannedCard, ...]:
    """Work out the settings for every camera, period and group of moments of a plan."""
    light, wish = match_light(plan.match), match_wish(plan.match)
    return tuple(
        planned
        for index, camera in enumerate(plan.match.cameras)
        for period in plan.periods
        for planned in _cards(
            plan.match,
            period.period,
            camera,
            period.assignments[index],
            light=light,
            wish=wish,
            say_length=say_length,
        )
    )


def match_light(match: Match) -> Light:
    """Tell in which light a match is filmed: lamps indoors and under floodlights, else the sky of the weather line."""
    venue, filming = match.venue, match.filming
    if venue.is_indoor or venue.is_floodlit:
        return lamplight(
            LAMPS[filming.lamp],
            mains_hz=venue.mains_hz,
            lux=venue.lux,
            is_indoor=venue.is_indoor,
            is_horizontal=filming.is_lux_horizontal,
            modulation=filming.modulation,
        )
    return daylight(match_sky(match), lux=venue.lux)


def match_sky(match: Match) -> Sky:
    """Sky of the weather line, or the one reckoned with when none is given."""
    return SKIES[match.filming.weather.sky or SKY_WITHOUT_FORECAST]


def match_wish(match: Match) -> FilmWish:
    """Tell what the film asks of frame rate, shutter and aperture; the delivery rate follows the mains."""
    filming = match.filming
    delivery_fps = filming.delivery_fps or (25.0 if match.venue.mains_hz == 50.0 else 30.0)
    return FilmWish(
        delivery_fps=delivery_fps,
        least_fps=filming.least_fps or max(match.deliverable.min_fps, delivery_fps),
        shutter_deg=filming.shutter_deg or SHUTTER_DEG.get(match.deliverable.key, USUAL_SHUTTER_DEG),
        shutter_s=filming.shutter_s,
        f_number=filming.f_number,
    )


def _cards(
    match: Match,
    period: Period,
    camera: Camera,
    assignment: Assignment,
    *,
    light: Light,
    wish: FilmWish,
    say_length: SayLength,
) -> tuple[PlannedCard, ...]:
    outfit = next(outfit for outfit in camera_outfits(match, camera) if outfit.lens == assignment.lens)
    controls = Controls(outfit.mode, camera.body.iso, camera.body.filters, camera.body.readout_s)
    groups = moment_groups(match, period_targets(match, period), assignment, outfit=outfit)
    return tuple(
        PlannedCard(
            camera.name,
            period.key,
            group,
            settings_card(group.shot, controls, wish=wish, light=light, say_length=say_length),
        )
        for group in groups
    )
