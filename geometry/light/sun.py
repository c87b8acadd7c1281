"""Where the sun stands: azimuth and elevation at a place and a time, and as a direction in the pitch frame.

Position by astral (a NOAA-class algorithm, within 0.015 degrees of the reference algorithm), without refraction; times
must know their zone. Sunrise and sunset are found by bisection on the geometric elevation, which also works where the
sun does not set.

    azimuth: clockwise from true north; the pitch's +x axis points to `bearing_deg`
    pitch direction = (cos e cos(b - a), cos e sin(b - a), sin e), since y lies to the left of +x
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.geometry.errors import InputError

HORIZON_DEG = -0.833  # geometric elevation at sunrise and sunset: refraction and half the disc (NOAA solar calculator)


def sun_position_deg(at: datetime, *, latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
    """Azimuth and geometric elevation of the sun [deg].

    Parameters
    ----------
    at : a time that knows its zone

    Raises
    ------
    InputError : the time knows no zone

    >>> from datetime import timezone
    >>> azimuth, elevation = sun_position_deg(
    ...     datetime(2003, 10, 17, 19, 30, 30, tzinfo=UTC), latitude_deg=39.742476, longitude_deg=-105.1786)
    >>> round(azimuth, 2), round(elevation, 2)
    (194.34, 39.87)
    """
    from astral import Observer
    from astral.sun import azimuth, elevation

    if at.utcoffset() is None:
        raise InputError(f"time {at.isoformat()}: has no zone; give one, such as +02:00")
    observer, utc = Observer(latitude_deg, longitude_deg), at.astimezone(UTC)
    return float(azimuth(observer, utc)), float(elevation(observer, utc, with_refraction=False))


def pitch_direction(azimuth_deg: float, elevation_deg: float, *, bearing_deg: float) -> Floats:
    """Unit vector toward a place in the sky, in the pitch frame, shape (3,).

    >>> pitch_direction(270.0, 0.0, bearing_deg=0.0).round(3) + 0.0  # +x to the north: the west is on the left
    array([0., 1., 0.])
    """
    turn, rise = math.radians(bearing_deg - azimuth_deg), math.radians(elevation_deg)
    return np.array([math.cos(rise) * math.cos(turn), math.cos(rise) * math.sin(turn), math.sin(rise)])


def sun_direction(at: datetime, *, latitude_deg: float, longitude_deg: float, bearing_deg: float) -> Floats:
    """Unit vector toward the sun in the pitch frame, shape (3,); its z is negative below the horizon.

    Raises
    ------
    InputError : the time knows no zone
    """
    azimuth_deg, elevation_deg = sun_position_deg(at, latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    return pitch_direction(azimuth_deg, elevation_deg, bearing_deg=bearing_deg)


def sun_crossings(
    first: datetime, last: datetime, *, latitude_deg: float, longitude_deg: float, step_min: float = 10.0
) -> tuple[tuple[datetime, bool], ...]:
    """Every sunrise and sunset between two times, to a second: (time in the zone of `first`, is it a sunrise).

    Nothing in it where the sun stays up or down throughout, as beyond the polar circles.

    Raises
    ------
    InputError : a time knows no zone
    """

    def height(at: datetime) -> float:
        elevation_deg = sun_position_deg(at, latitude_deg=latitude_deg, longitude_deg=longitude_deg)[1]
        return elevation_deg - HORIZON_DEG

    zone, begin, end = first.tzinfo, first.astimezone(UTC), last.astimezone(UTC)
    n = max(1, math.ceil((end - begin) / timedelta(minutes=step_min)))
    times = [begin + (end - begin) * i / n for i in range(n + 1)]
    heights = [height(at) for at in times]
    crossings = []
    for i in range(n):
        if (heights[i] > 0) == (heights[i + 1] > 0):
            continue
        low, high, is_rise = times[i], times[i + 1], heights[i + 1] > 0
        while high - low > timedelta(seconds=1):
            middle = low + (high - low) / 2
            low, high = (low, middle) if (height(middle) > 0) == is_rise else (middle, high)
        crossings.append((high.astimezone(zone), is_rise))
    return tuple(crossings)
