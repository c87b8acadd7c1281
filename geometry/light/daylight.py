"""Daylight by the height of the sun: on level ground and on upright people, by day and through twilight.

By day the formulas of the Illuminating Engineering Society (Recommended Practice for the Calculation of Daylight
Availability, J. Illum. Eng. Soc. 13(4), 1984), as coded in an open script that cites the paper; under the horizon those
of the US Naval Observatory (Janiczek and DeYoung, Computer Programs for Sun and Moon Illuminance, Circular 171, 1987),
as transcribed in an open package. Both are means: a moment may be twice or half as bright, more in twilight.

Everything is for the open field, no stand shade, ground that reflects a fifth of the light.
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

Cloud = Literal["clear", "partly", "overcast"]

SOLAR_KLX = 127.5  # direct light outside the air
EXTINCTION = {"clear": 0.21, "partly": 0.80}  # per unit of air mass 1 / sin h
GROUND_REFLECTANCE = 0.2
FULL_SKY_LX = 133_775.0
AIR_SCALE = 753.66156  # Earth's radius in scale heights of air
NIGHT_LX = 0.0005
SKY_FACTOR = {"clear": 1.0, "partly": 2.0, "overcast": 3.0}  # thin veil 2, average cloud 3: Circular 171
DAY_FROM_DEG = 2.0  # formulas of the day from here up, of twilight from 0 down, log-linear between
FACING_IN_TWILIGHT = 0.5  # upright against level when the sun is down; estimate: no published figure found
TURNS_DEG = np.arange(0.0, 360.0, 15.0)


def level_lux(elevation_deg: float, *, cloud: Cloud = "clear") -> float:
    """Light on level ground [lux].

    Parameters
    ----------
    elevation_deg : height of the sun without refraction

    >>> round(level_lux(30.0), -2), round(level_lux(-6.0), 1)
    (53500.0, 3.0)
    """
    if elevation_deg >= DAY_FROM_DEG:
        return 1000.0 * (_direct_klx(elevation_deg, cloud) * _sin(elevation_deg) + _sky_level_klx(elevation_deg, cloud))
    if elevation_deg <= 0.0:
        return _twilight_lux(elevation_deg, cloud)
    return _between(elevation_deg, _twilight_lux(0.0, cloud), level_lux(DAY_FROM_DEG, cloud=cloud))


def facing_lux(elevation_deg: float, from_sun_deg: float, *, cloud: Cloud = "clear") -> float:
    """Light on an upright side, such as a chest, that looks some degrees of azimuth away from the sun [lux].

    Parameters
    ----------
    elevation_deg : height of the sun, at least DAY_FROM_DEG
    from_sun_deg : 0 the sun stands behind the camera, 180 behind the subject

    >>> round(facing_lux(30.0, 0.0), -2), round(facing_lux(30.0, 180.0), -2)
    (92600.0, 7800.0)
    """
    h, turn = math.radians(elevation_deg), math.cos(math.radians(from_sun_deg))
    direct = _direct_klx(elevation_deg, cloud) * math.cos(h) * max(turn, 0.0)
    level = level_lux(elevation_deg, cloud=cloud) / 1000.0
    return 1000.0 * (direct + _sky_facing_klx(h, turn, cloud)) + 1000.0 * level * GROUND_REFLECTANCE / 2.0


def people_lux(elevation_deg: float, *, cloud: Cloud = "clear") -> float:
    """Light on upright people who look every way: the mean of `facing_lux` over all directions [lux]."""
    if elevation_deg >= DAY_FROM_DEG:
        return float(np.mean([facing_lux(elevation_deg, turn, cloud=cloud) for turn in TURNS_DEG]))
    if elevation_deg <= 0.0:
        return FACING_IN_TWILIGHT * _twilight_lux(elevation_deg, cloud)
    twilight = FACING_IN_TWILIGHT * _twilight_lux(0.0, cloud)
    return _between(elevation_deg, twilight, people_lux(DAY_FROM_DEG, cloud=cloud))


def _between(elevation_deg: float, low_lux: float, high_lux: float) -> float:
    share = elevation_deg / DAY_FROM_DEG
    return float(low_lux ** (1.0 - share) * high_lux**share)


def _sin(elevation_deg: float) -> float:
    return math.sin(math.radians(elevation_deg))


def _direct_klx(elevation_deg: float, cloud: Cloud) -> float:
    """Light of the sun itself on a plane that faces it: 127.5 exp(-c / sin h)."""
    return SOLAR_KLX * math.exp(-EXTINCTION[cloud] / _sin(elevation_deg)) if cloud in EXTINCTION else 0.0


def _sky_level_klx(elevation_deg: float, cloud: Cloud) -> float:
    sine = _sin(elevation_deg)
    match cloud:
        case "clear":
            return 16.4 * math.sqrt(sine)
        case "partly":
            return 45.4 * sine
        case "overcast":
            return 21.4 * sine


def _sky_facing_klx(h: float, turn: float, cloud: Cloud) -> float:
    sine, cosine = math.sin(h), math.cos(h)
    match cloud:
        case "clear":
            return float(4.0 * h**1.3 + 12.0 * sine**0.3 * cosine**1.3) * (2.0 + turn) / (3.0 - turn)
        case "partly":
            return float(12.0 * h + 30.2 * sine**0.8 * cosine) * (1.0 + turn) / (3.0 - turn)
        case "overcast":
            return 8.5 * sine


def _twilight_lux(elevation_deg: float, cloud: Cloud) -> float:
    """Light on level ground with the sun at or under the horizon, by Circular 171.

    The circular lifts the sun by refraction above -5/6 degree only, which makes a step there; between 0 and -1 degree
    a straight line in the logarithm joins the two sides.
    """
    if -1.0 < elevation_deg < 0.0:
        return float(_circular_lux(0.0, cloud) ** (1.0 + elevation_deg) * _circular_lux(-1.0, cloud) ** -elevation_deg)
    return _circular_lux(elevation_deg, cloud)


def _circular_lux(elevation_deg: float, cloud: Cloud) -> float:
    apparent_deg = elevation_deg + (_refraction_deg(elevation_deg) if elevation_deg > -5.0 / 6.0 else 0.0)
    u = math.sin(math.radians(apparent_deg))
    slant = math.asin(AIR_SCALE * math.cos(math.radians(apparent_deg)) / (AIR_SCALE + 1.0))
    air_mass = AIR_SCALE * (math.cos(slant) - u) + math.cos(slant)
    share = math.exp(-0.21 * air_mass) * u + 0.0289 * math.exp(-0.042 * air_mass) * (
        1.0 + (apparent_deg + 90.0) * u / 57.29577951
    )
    return (FULL_SKY_LX * share + NIGHT_LX) / SKY_FACTOR[cloud]


def _refraction_deg(elevation_deg: float) -> float:
    """Lift of the sun by the air: Bennett 1982, as in Meeus, Astronomical Algorithms (from memory)."""
    return 1.0 / math.tan(math.radians(elevation_deg + 7.31 / (elevation_deg + 4.4))) / 60.0
