"""Metres or feet for people to read; files always hold metres.

A figure is rounded in the unit that is shown: quarters of a metre under ten metres and whole metres above,
or whole feet. Heights of a lens are given to a tenth of a metre, or in feet and inches.
"""

from __future__ import annotations

from enum import StrEnum
from math import isinf

from standmark.optimizer.settings.notation import length_text

FOOT_M = 0.3048  # exactly, international foot (International Yard and Pound Agreement, 1959)


class Units(StrEnum):
    """What lengths are shown in."""

    METRIC = "metric"
    IMPERIAL = "imperial"


def distance_words(value_m: float, units: Units = Units.METRIC) -> str:
    """Distance as people say it.

    >>> distance_words(3.6), distance_words(18.3), distance_words(18.3, Units.IMPERIAL)
    ('3.5 m', '18 m', '60 ft')
    """
    if units is Units.IMPERIAL:
        return f"{round(value_m / FOOT_M):d} ft"
    rounded = round(value_m * 4) / 4 if abs(value_m) < 10 else round(value_m)
    return f"{rounded:g} m"


def height_words(value_m: float, units: Units = Units.METRIC) -> str:
    """Height of a lens or a person.

    >>> height_words(1.65), height_words(1.65, Units.IMPERIAL), height_words(12.4)
    ('1.6 m', '5 ft 5 in', '12 m')
    """
    if units is Units.METRIC:
        return f"{value_m:.2g} m" if value_m < 9.95 else f"{value_m:.0f} m"
    feet, inches = divmod(round(value_m / FOOT_M * 12), 12)
    return f"{feet} ft {inches} in" if inches and feet < 20 else f"{feet} ft"


def length_words(value_m: float, units: Units = Units.METRIC) -> str:
    """Distance as it is read off a lens or a tape: decimetres below 10 m; feet and inches below 10 feet.

    >>> length_words(4.23), length_words(1.9, Units.IMPERIAL), length_words(57.4, Units.IMPERIAL)
    ('4.2 m', '6 ft 3 in', '188 ft')
    """
    if units is Units.METRIC or isinf(value_m):
        return length_text(value_m)
    return height_words(value_m, units) if value_m < 10 * FOOT_M else f"{value_m / FOOT_M:.0f} ft"


def shown(value_m: float, units: Units) -> float:
    """Value in the unit that is shown."""
    return value_m / FOOT_M if units is Units.IMPERIAL else value_m


def symbol(units: Units) -> str:
    """Symbol of the unit that is shown."""
    return "ft" if units is Units.IMPERIAL else "m"
