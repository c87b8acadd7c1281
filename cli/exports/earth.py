"""Places of the pitch on the earth: along the geodesic from the middle of the playing area, on the WGS84 ellipsoid."""

from __future__ import annotations

import math
from collections.abc import Iterable

from standmark.geometry.fit.earth import destination_deg
from standmark.optimizer.match.match import Venue

DIGITS = 7  # of a degree: about a centimetre


def has_place(venue: Venue) -> bool:
    """Whether it is known where on the earth the ground lies, and which way."""
    return venue.latitude_deg is not None and venue.longitude_deg is not None and venue.has_bearing


def place_on_earth(venue: Venue, x_m: float, y_m: float) -> tuple[float, float]:
    """Latitude and longitude of a point of the pitch frame [deg], rounded to about a centimetre.

    The azimuth is that of +x less the angle toward +y, which lies to the left.
    """
    assert venue.latitude_deg is not None
    assert venue.longitude_deg is not None
    azimuth = venue.bearing_deg - math.degrees(math.atan2(y_m, x_m))
    middle = venue.longitude_deg, venue.latitude_deg
    longitude, latitude = destination_deg(middle, azimuth_deg=azimuth, distance_m=math.hypot(x_m, y_m))
    return round(latitude, DIGITS) + 0.0, round(longitude, DIGITS) + 0.0


def ring_on_earth(venue: Venue, xy_m: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Longitude and latitude of points, longitudes running on past 180 where the ring crosses that meridian."""
    placed = [place_on_earth(venue, x, y) for x, y in xy_m]
    first = placed[0][1]
    return [(longitude + 360.0 * round((first - longitude) / 360.0), latitude) for latitude, longitude in placed]
