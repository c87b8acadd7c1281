"""Metres or feet for people to read; files always hold metres.

A figure is rounded in the unit that is shown: half metres under ten metres and whole metres above, or whole
feet or yards. Heights of a lens are given to a tenth of a metre, or in feet and inches.
"""

from __future__ import annotations

import math
from enum import StrEnum

from standmark.optimizer.settings.notation import length_text
from standmark.optimizer.work.walk import PACE_M
from standmark.sports.sport import Sport

FOOT_M = 0.3048  # exactly, international foot (International Yard and Pound Agreement, 1959)
YARD_M = 0.9144  # exactly, the same agreement


class Units(StrEnum):
    """What lengths are shown in."""

    METRIC = "metric"
    IMPERIAL = "imperial"
    YARDS = "yards"


def native_units(sport: Sport, units: Units) -> Units:
    """Return the units in which distances on a sport's field are said: its own where it's measured in yards or feet."""
    return {"yd": Units.YARDS, "ft": Units.IMPERIAL, "m": units}[sport.area.unit]


def distance_words(value_m: float, units: Units = Units.METRIC) -> str:
    """Distance as people say it.

    >>> distance_words(3.6), distance_words(18.3), distance_words(18.3, Units.IMPERIAL)
    ('3.5 m', '18 m', '60 ft')
    >>> distance_words(18.3, Units.YARDS)
    '20 yd'
    """
    if units is Units.YARDS:
        return f"{round(value_m / YARD_M):d} yd"
    if units is Units.IMPERIAL:
        return f"{round(value_m / FOOT_M):d} ft"
    rounded = round(value_m * 2) / 2 if abs(value_m) < 10 else round(value_m)
    return f"{rounded:g} m"


def paces_words(value_m: float) -> str:
    """Distance in paces.

    >>> paces_words(16.0), paces_words(0.7)
    ('21 paces', '1 pace')
    """
    n = max(1, round(value_m / PACE_M))
    return f"{n} pace{'' if n == 1 else 's'}"


def height_words(value_m: float, units: Units = Units.METRIC) -> str:
    """Height of a lens or a person.

    >>> height_words(1.65), height_words(1.65, Units.IMPERIAL), height_words(12.4)
    ('1.6 m', '5 ft 5 in', '12 m')
    """
    if units is not Units.IMPERIAL:
        return f"{value_m:.2g} m" if value_m < 9.95 else f"{value_m:.0f} m"
    feet, inches = divmod(round(value_m / FOOT_M * 12), 12)
    return f"{feet} ft {inches} in" if inches and feet < 20 else f"{feet} ft"


def length_words(value_m: float, units: Units = Units.METRIC) -> str:
    """Distance as it is read off a lens or a tape: decimetres below 10 m; feet and inches below 10 feet.

    >>> length_words(4.23), length_words(1.9, Units.IMPERIAL), length_words(57.4, Units.IMPERIAL)
    ('4.2 m', '6 ft 3 in', '188 ft')
    """
    if units is not Units.IMPERIAL or math.isinf(value_m):
        return length_text(value_m)
    return height_words(value_m, units) if value_m < 10 * FOOT_M else f"{value_m / FOOT_M:.0f} ft"


def shown(value_m: float, units: Units) -> float:
    """Value in the unit that is shown."""
    return value_m / {Units.METRIC: 1.0, Units.IMPERIAL: FOOT_M, Units.YARDS: YARD_M}[units]


def symbol(units: Units) -> str:
    """Symbol of the unit that is shown."""
    return {Units.METRIC: "m", Units.IMPERIAL: "ft", Units.YARDS: "yd"}[units]
