"""Which end of a playing area is +x, where its outline does not say."""

from __future__ import annotations

import math
import re

import numpy as np

from standmark.cli.ground.map_file import MapFeature, MapFile
from standmark.cli.ground.plane import Place, flat
from standmark.cli.ground.roles import role_of
from standmark.geometry.errors import InputError

COMPASS = ("n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw")
LONG = (("north", "n"), ("south", "s"), ("east", "e"), ("west", "w"))
CLEAR_DEG = 80.0  # a direction nearer than this to an end means that end


def chosen_end(bearing_deg: float, toward: str | None, map_file: MapFile, origin: Place) -> float:
    """Bearing of +x: of the two ends the one that lies toward what was asked for, or the more northern one.

    Raises
    ------
    InputError : no direction and nothing on the map, or straight across the playing area
    """
    bearing_deg %= 360.0
    other = (bearing_deg + 180.0) % 360.0
    if toward is None:
        return bearing_deg if bearing_deg > 270.0 or bearing_deg <= 90.0 else other
    wanted = direction_deg(toward, map_file, origin)
    nearer = min(bearing_deg, other, key=lambda end: _apart(end, wanted))
    if _apart(nearer, wanted) > CLEAR_DEG:
        raise InputError(
            f"--toward {toward}: across the playing area, whose ends point to {bearing_deg:.0f} and {other:.0f} "
            "degrees; name one of these"
        )
    return nearer


def direction_deg(words: str, map_file: MapFile, origin: Place) -> float:
    """Compass direction of a word (`nw`, `north-east`), of degrees, or of something named on the map."""
    angle = compass_deg(words)
    if angle is not None:
        return angle
    named = [f for f in map_file.features if words.strip().casefold() in _names(f)]
    if not named:
        raise InputError(
            f'--toward "{words[:40]}": neither a direction (n, south-west, 340) nor the name of something on the map'
        )
    east, north = np.mean(flat(map_file, named[0].rings[0], origin, quick=True), axis=0)
    return math.degrees(math.atan2(east, north)) % 360.0


def compass_deg(words: str) -> float | None:
    """Compass direction of degrees or of a word; None where it is neither.

    >>> compass_deg("north-west"), compass_deg("NNW"), compass_deg("12,5°"), compass_deg("left")
    (315.0, 337.5, 12.5, None)
    """
    short = words.strip().lower().rstrip("°")
    if re.fullmatch(r"\d{1,3}([.,]\d+)?", short):
        return float(short.replace(",", ".")) % 360.0
    for long, letter in LONG:
        short = short.replace(long, letter)
    short = re.sub(r"[\s-]", "", short)
    return COMPASS.index(short) * 22.5 if short in COMPASS else None


def compass_word(bearing_deg: float) -> str:
    """Nearest of the eight points of the compass, in words.

    >>> compass_word(328.0)
    'north-west'
    """
    points = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
    return points[round(bearing_deg / 45.0) % 8]


def _names(feature: MapFeature) -> set[str]:
    role = role_of(feature)
    return {feature.name.casefold(), role.label.casefold() if role else ""} - {""}


def _apart(one_deg: float, other_deg: float) -> float:
    return abs((one_deg - other_deg + 180.0) % 360.0 - 180.0)
