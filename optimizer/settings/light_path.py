"""The light of a match minute by minute: the sky by the height of the sun, with the lamps where there are any."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import log2

import numpy as np

from standmark.geometry.light.daylight import Cloud, people_lux
from standmark.geometry.light.sun import sun_position_deg
from standmark.geometry.optics.exposure import lux_from_ev100
from standmark.optimizer.match.light_kinds import LAMPS, SKIES, Sky
from standmark.optimizer.match.match import Match
from standmark.optimizer.settings.light import Light, daylight, lamplight
from standmark.sports.timeline import later, period_starts_min

SKY_WITHOUT_FORECAST = "bright cloud"
HIGH_SUN_DEG = 45.0  # height at which a sky gives what the exposure table says; the table means high sun
STEP_MIN = 1.0
AFTER_MIN = 15.0  # the reactions after the finish are filmed too
FORMULA = "by the height of the sun (IES 1984, Circular 171), good to about one stop, worse in twilight"
MIXED_SHARE = (0.2, 0.8)  # of daylight in the whole: between these neither white balance is right

# How a sky of the weather line weakens as the sun sinks: which of the formulas' three skies it goes with. The words
# "low sun" and "dusk" say the hour rather than the cloud; where the sun's place is known, it says that better.
CLOUDS: dict[str, Cloud] = {
    "sun": "clear",
    "hazy": "partly",
    "bright cloud": "overcast",
    "overcast": "overcast",
    "shade": "clear",
    "low sun": "clear",
    "dusk": "clear",
}
HOURS = {"low sun": "sun", "dusk": "sun"}  # skies that say the hour -> the sky that they are of


@dataclass(frozen=True)
class LightAt:
    """The light at one time."""

    at: datetime  # aware, in the zone of the start
    elevation_deg: float  # of the sun
    light: Light


def match_sky(match: Match) -> Sky:
    """Sky of the weather line, or the one that is assumed when none is given."""
    return SKIES[match.filming.weather.sky or SKY_WITHOUT_FORECAST]


def match_light(match: Match, at: datetime | None = None) -> Light:
    """Light in which a match is filmed at a time; None: at the start, or with high sun where no start is known."""
    venue, filming = match.venue, match.filming
    lamps = (
        lamplight(
            LAMPS[filming.lamp],
            mains_hz=venue.mains_hz,
            lux=venue.lux,
            is_indoor=venue.is_indoor,
            is_horizontal=filming.is_lux_horizontal,
            modulation=filming.modulation,
        )
        if venue.is_indoor or venue.is_floodlit
        else None
    )
    moment = match.start if at is None else at
    if venue.is_indoor or (lamps is not None and (moment is None or not knows_sun(match))):
        assert lamps is not None
        return lamps
    sky = _sky_light(match, moment)
    return sky if lamps is None else _mixed(sky, lamps)


def match_lights(match: Match) -> tuple[LightAt, ...]:
    """Light at every minute from the start to the last reactions; empty where the sun's place is not known."""
    if match.start is None or not knows_sun(match) or match.venue.is_indoor:
        return ()
    periods = match.sport.periods
    end_min = period_starts_min(periods)[-1] + periods[-1].minutes + AFTER_MIN
    times = [later(match.start, float(m)) for m in np.arange(0.0, end_min + STEP_MIN / 2, STEP_MIN)]
    return tuple(LightAt(at, _elevation_deg(match, at), match_light(match, at)) for at in times)


def light_changes(lights: Sequence[LightAt], *, stops: float = 1.0) -> tuple[LightAt, ...]:
    """First of some lights, and each that is so many stops away from the one before it in this list."""
    told: list[LightAt] = []
    for now in lights:
        if not told or abs(log2(now.light.lux / told[-1].light.lux)) >= stops:
            told.append(now)
    return tuple(told)


def knows_sun(match: Match) -> bool:
    """Whether the place of the sun can be worked out."""
    return match.venue.latitude_deg is not None and match.venue.longitude_deg is not None


def _elevation_deg(match: Match, at: datetime) -> float:
    venue = match.venue
    assert venue.latitude_deg is not None
    assert venue.longitude_deg is not None
    return float(sun_position_deg(at, latitude_deg=venue.latitude_deg, longitude_deg=venue.longitude_deg)[1])


def _sky_light(match: Match, at: datetime | None) -> Light:
    """Light of the sky: a measured figure holds at the start and follows the sun from there."""
    sky = match_sky(match)
    measured = None if match.venue.is_floodlit else match.venue.lux
    if at is None or not knows_sun(match):
        return daylight(sky, lux=measured)
    cloud, plain = CLOUDS[sky.key], SKIES[HOURS.get(sky.key, sky.key)]
    elevation_deg = _elevation_deg(match, at)
    if measured is not None and match.start is not None:
        share = people_lux(elevation_deg, cloud=cloud) / people_lux(_elevation_deg(match, match.start), cloud=cloud)
        return replace(daylight(sky, lux=measured * share), lux_source="measured at the start, then " + FORMULA)
    return replace(daylight(plain, lux=_sky_lux(elevation_deg, plain, cloud)), lux_source=FORMULA)


def _sky_lux(elevation_deg: float, sky: Sky, cloud: Cloud) -> float:
    """The exposure table's light with high sun, the formulas' with the sun down, and in proportion between."""
    table_lux = lux_from_ev100(sky.ev100)
    if elevation_deg >= HIGH_SUN_DEG:
        return table_lux
    ratio = table_lux / people_lux(HIGH_SUN_DEG, cloud=cloud)
    return people_lux(elevation_deg, cloud=cloud) * float(ratio ** (max(elevation_deg, 0.0) / HIGH_SUN_DEG))


def _mixed(sky: Light, lamps: Light) -> Light:
    """Daylight and lamps together: the ripple is that of the lamps, diluted."""
    lux = sky.lux + lamps.lux
    day_share = sky.lux / lux
    stronger = sky if day_share > 0.5 else lamps
    balance = stronger.white_balance
    if MIXED_SHARE[0] < day_share < MIXED_SHARE[1]:
        balance += (
            " Daylight and lamps are mixed now: no one setting is right for both. Measure a white card where the "
            "players are, and again in every break."
        )
    return Light(
        name=f"{lamps.name} and daylight" if day_share > 0.02 else lamps.name,
        lux=lux,
        lux_source=f"lamps {lamps.lux_source}; daylight {sky.lux_source}",
        ripple_hz=lamps.ripple_hz,
        modulation=lamps.modulation * (1.0 - day_share),
        modulation_source=lamps.modulation_source,
        kelvin=stronger.kelvin,
        white_balance=balance,
    )
