"""Places of a map in a plane of metres, whether the map is in degrees or is a drawing in metres."""

from __future__ import annotations

import math

import numpy as np

from standmark.cli.ground.map_file import Floats, MapFile
from standmark.geometry.fit.earth import degrees_of, plane_m, quick_plane_m

Place = tuple[float, float]


def flat(map_file: MapFile, places: Floats, middle: Place, *, quick: bool = False) -> Floats:
    """Places about a middle, east (or right on a drawing) and north (or up) [m], shape (n, 2).

    Parameters
    ----------
    quick : many places, of which only those near the middle matter
    """
    if map_file.is_drawing:
        return np.asarray(places - np.array(middle))
    return quick_plane_m(places, middle) if quick else plane_m(places, middle)


def placed(map_file: MapFile, east_north_m: Place, middle: Place) -> Place:
    """Place on the map of a point of the plane: the inverse of `flat`."""
    if map_file.is_drawing:
        return middle[0] + east_north_m[0], middle[1] + east_north_m[1]
    return degrees_of(east_north_m, middle)


def pitch_frame(east_north_m: Floats, bearing_deg: float) -> Floats:
    """Points of the plane about the frame's origin, in the pitch frame whose +x has a bearing, shape (n, 2)."""
    sine, cosine = math.sin(math.radians(bearing_deg)), math.cos(math.radians(bearing_deg))
    east, north = east_north_m[:, 0], east_north_m[:, 1]
    return np.column_stack([east * sine + north * cosine, north * sine - east * cosine])
