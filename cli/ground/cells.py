"""Cells of a table of grounds: lengths, places in degrees, directions, lamps, heights, as people type them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from standmark.cli.ground.ends import compass_deg
from standmark.geometry.errors import InputError, shown
from standmark.optimizer.match.light_kinds import LAMPS
from standmark.sports.toml.length import metres_of

YES = ("yes", "y", "true", "1", "x", "ja", "oui", "si", "sim")
NO = ("", "no", "n", "false", "0", "-", "none", "nein", "non", "nao")
DEGREES = re.compile(
    r"([NSEW])?\s*([+−-]?\d{1,3}(?:[.,]\d{1,20})?)\s*°?\s*"
    r"(?:(\d{1,2}(?:[.,]\d{1,9})?)\s*['′’]\s*)?(?:(\d{1,2}(?:[.,]\d{1,6})?)\s*(?:\"|″|”|'')\s*)?([NSEW])?",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Lamps:
    """What a cell says of lamps."""

    are_there: bool
    kind: str = ""  # key of a kind of lamp


def lamps_cell(words: str) -> Lamps:
    """Whether there are lamps, and of which kind: yes, no, or the name of a kind.

    Raises
    ------
    InputError : none of these
    """
    plain = words.strip().lower()
    if plain in NO:
        return Lamps(False)
    if plain in YES:
        return Lamps(True)
    if plain in LAMPS:
        return Lamps(True, plain)
    raise InputError(f'lamps: "{shown(words, most=30)}" is not known; allowed: yes, no, {", ".join(LAMPS)}')


def length_cell(words: str, unit: str, name: str) -> float:
    """Metres of a cell; its own unit before that of the column.

    Raises
    ------
    InputError : not a length
    """
    is_bare = re.fullmatch(r"\s*\d+([.,]\d+)?\s*", words) is not None
    try:
        return metres_of(f"{words} {unit}" if is_bare else words)
    except ValueError as error:
        raise InputError(f'{name}: "{shown(words, most=30)}" is {error}') from None


def height_cell(words: str, name: str) -> float:
    """Number of a cell, metres where it is a height.

    Raises
    ------
    InputError : not a number
    """
    try:
        return metres_of(words)
    except ValueError:
        raise InputError(f'{name}: "{shown(words, most=30)}" is not a number') from None


def bearing_cell(words: str) -> float:
    """Compass direction in degrees, from degrees or a word.

    Raises
    ------
    InputError : neither
    """
    bearing_deg = compass_deg(words)
    if bearing_deg is None:
        raise InputError(f'bearing: "{shown(words, most=30)}" is not a direction; write degrees (340) or a word (nnw)')
    return bearing_deg


def degrees_cell(latitude: str, longitude: str) -> tuple[float, float]:
    """Latitude and longitude of two cells: 55.2, 55,2 or degrees, minutes and seconds with a letter.

    Raises
    ------
    InputError : one is missing or no angle, or they look swapped
    """
    if not latitude or not longitude:
        missing = "longitude" if latitude else "latitude"
        raise InputError(f"{missing}: empty, while the other is given; give both or neither")
    north, east = _angle(latitude, "latitude", "NS"), _angle(longitude, "longitude", "EW")
    if abs(north) > 90 >= abs(east):
        raise InputError(f"latitude: {north:g} is above 90; latitude and longitude look swapped")
    if abs(north) > 90 or abs(east) > 180:
        raise InputError(f"latitude, longitude: {north:g}, {east:g} is not a place on earth")
    return north, east


def _angle(words: str, name: str, letters: str) -> float:
    angle = DEGREES.fullmatch(words.strip())
    letter = (angle[1] or angle[5] or "").upper() if angle else ""
    if not angle or (letter and letter not in letters):
        hint = "; latitude and longitude look swapped" if letter else ""
        raise InputError(f'{name}: "{shown(words, most=30)}" is not an angle; write degrees such as 55.2{hint}')
    whole = angle[2].replace("−", "-").replace(",", ".")
    parts = [float((part or "0").replace(",", ".")) for part in (angle[3], angle[4])]
    size = abs(float(whole)) + parts[0] / 60 + parts[1] / 3600
    return -size if whole.startswith("-") or letter in ("S", "W") else size
