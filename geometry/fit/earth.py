"""Between degrees on the earth and a plane of metres round a middle point, on the WGS84 ellipsoid.

plane: origin at the middle, first axis east, second north; distance and azimuth from the middle are true
(azimuthal equidistant), so within a kilometre lengths between any two points are good to millimetres
"""

from __future__ import annotations

import math

import numpy as np
from geographiclib.geodesic import Geodesic
from numpy.typing import ArrayLike

from standmark.geometry.arrays import Floats

A_M, F = 6_378_137.0, 1 / 298.257223563  # WGS84
E2 = F * (2.0 - F)


def plane_m(longitude_latitude_deg: ArrayLike, middle_deg: tuple[float, float]) -> Floats:
    """East and north of places [m], shape (n, 2), exact along the geodesic from the middle.

    Parameters
    ----------
    longitude_latitude_deg : shape (n, 2)
    middle_deg : longitude and latitude of the origin

    References
    ----------
    [1] C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87, 2013, through geographiclib
    """
    longitude, latitude = middle_deg
    out = []
    for place in np.asarray(longitude_latitude_deg, float).reshape(-1, 2).tolist():
        line = Geodesic.WGS84.Inverse(latitude, longitude, place[1], place[0])
        azimuth_rad = math.radians(line["azi1"])
        out.append((line["s12"] * math.sin(azimuth_rad), line["s12"] * math.cos(azimuth_rad)))
    return np.array(out, float).reshape(-1, 2)


def degrees_of(east_north_m: tuple[float, float], middle_deg: tuple[float, float]) -> tuple[float, float]:
    """Longitude and latitude of a point of the plane round the middle: the inverse of `plane_m`.

    >>> place = degrees_of((30.0, 40.0), (-20.0, 45.0))
    >>> plane_m([place], (-20.0, 45.0)).round(6)
    array([[30., 40.]])
    """
    east, north = east_north_m
    azimuth_deg = math.degrees(math.atan2(east, north))
    return destination_deg(middle_deg, azimuth_deg=azimuth_deg, distance_m=math.hypot(east, north))


def destination_deg(start_deg: tuple[float, float], *, azimuth_deg: float, distance_m: float) -> tuple[float, float]:
    """Longitude and latitude of where a geodesic ends [deg].

    Parameters
    ----------
    start_deg : longitude and latitude
    azimuth_deg : at the start, clockwise from true north

    References
    ----------
    [1] C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87, 2013, through geographiclib
    """
    end = Geodesic.WGS84.Direct(start_deg[1], start_deg[0], azimuth_deg, distance_m)
    return float(end["lon2"]), float(end["lat2"])


def quick_plane_m(longitude_latitude_deg: ArrayLike, middle_deg: tuple[float, float]) -> Floats:
    """East and north of many places [m], by the two radii of curvature at the middle: to find what is near.

    Within 1 km and 65 degrees of latitude it is good to 0.2 m; further away it only says that it is far.
    Longitudes are taken the short way round, so that the 180th meridian is no border.
    """
    places = np.asarray(longitude_latitude_deg, float).reshape(-1, 2)
    longitude, latitude = middle_deg
    sine = math.sin(math.radians(latitude))
    across_m = A_M / math.sqrt(1.0 - E2 * sine**2)
    along_m = across_m * (1.0 - E2) / (1.0 - E2 * sine**2)
    turn_deg = (places[:, 0] - longitude + 180.0) % 360.0 - 180.0
    east = np.deg2rad(turn_deg) * across_m * math.cos(math.radians(latitude))
    return np.column_stack([east, np.deg2rad(places[:, 1] - latitude) * along_m])


def middle_of(longitude_latitude_deg: ArrayLike) -> tuple[float, float]:
    """Longitude and latitude of the middle of the box round places that lie near each other."""
    places = np.asarray(longitude_latitude_deg, float).reshape(-1, 2)
    turn_deg = (places[:, 0] - places[0, 0] + 180.0) % 360.0 - 180.0
    longitude = places[0, 0] + (turn_deg.min() + turn_deg.max()) / 2
    return float((longitude + 180.0) % 360.0 - 180.0), float((places[:, 1].min() + places[:, 1].max()) / 2)
