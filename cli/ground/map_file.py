"""What a map file holds, whatever its form: features with a name, tags and places in degrees."""

from __future__ import annotations

import math
import unicodedata
from array import array
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.errors import InputError
from standmark.sports.toml.regular_file import read_at_most

Floats = NDArray[np.float64]
ShapeKind = Literal["point", "line", "area"]

MAX_BYTES = 20 << 20  # of a file, and of what a zipped one may grow to; a map of a city quarter is smaller
MAX_FEATURES = 500_000
WEB_MERCATOR_M = 20_037_508.4  # half the equator: the largest number that web map tiles know


@dataclass(frozen=True, eq=False)
class MapFeature:
    """One thing on a map."""

    where: str  # "feature 3", "way 1207": for messages
    name: str
    kind: ShapeKind
    rings: tuple[Floats, ...]  # shape (n, 2), longitude and latitude; the first is the outer one, others are holes
    tags: dict[str, str] = field(default_factory=dict)
    times_s: Floats | None = None  # shape (n,), since 1970, of a track


@dataclass(frozen=True, eq=False)
class MapFile:
    """All that was read of a file."""

    name: str
    form: str  # "GeoJSON", "KML" ...
    features: tuple[MapFeature, ...]
    licence: str = ""  # as the file says it; "": it says nothing
    notes: tuple[str, ...] = ()
    is_drawing: bool = False  # places are metres of a drawing, not degrees


def read_bytes(path: Path) -> bytes:
    """Read a map file whole.

    Raises
    ------
    InputError : it cannot be read, or is larger than any map of a ground
    """
    size_words = f"{MAX_BYTES >> 20} MiB; cut out the surroundings of the ground"
    return read_at_most(path, most_bytes=MAX_BYTES, size_words=size_words)


def plain_name(value: Any) -> str:
    """Name of a feature as it may stand in a file or on a terminal: one line, at most 60 characters."""
    words = unicodedata.normalize("NFC", str(value if value is not None else ""))
    kept = "".join(c if unicodedata.category(c)[0] not in "CZ" or c == " " else " " for c in words[:600])
    return " ".join(kept.split())[:60].strip()


def places(values: Any, *, file: str, where: str) -> Floats:
    """Pairs of numbers as an array, shape (n, 2), heights left aside.

    Raises
    ------
    InputError : not numbers
    """
    flat = array("d")
    try:
        for row in values:
            flat.append(float(row[0]))
            flat.append(float(row[1]))
    except (TypeError, ValueError, IndexError, KeyError, OverflowError):
        raise InputError(f"{file}: {where}: coordinates are not pairs of numbers, longitude and latitude") from None
    return np.array(flat, float).reshape(-1, 2)


def check_degrees(degrees: Floats, *, file: str, where: str) -> None:
    """Refuse what cannot be longitude and latitude.

    Raises
    ------
    InputError : what the numbers look like, and what helps
    """
    if not np.isfinite(degrees).all():
        raise InputError(f"{file}: {where}: a coordinate is not a finite number")
    if not len(degrees) or (np.abs(degrees) <= (180.0, 90.0)).all():
        return
    x, y = (float(v) for v in degrees[int(np.argmax((np.abs(degrees) > (180.0, 90.0)).any(axis=1)))])
    if abs(x) <= 90.0 and abs(y) <= 180.0:
        what = "latitude and longitude are swapped: longitude comes first; add --swap to read them the other way round"
    elif max(abs(x), abs(y)) <= WEB_MERCATOR_M * 1.001:
        what = "these are metres of a projection; save the map again in degrees (WGS 84, EPSG:4326)"
    else:
        what = "allowed: longitude -180 to 180 and latitude -90 to 90"
    raise InputError(f"{file}: {where}: {_short(x)}, {_short(y)} is not a place in degrees; {what}")


def closes(ring: Floats) -> bool:
    """Whether a line ends where it began."""
    return len(ring) >= 4 and bool((ring[0] == ring[-1]).all())


def text_tags(pairs: Any) -> dict[str, str]:
    """Properties as short texts, for the names and tags that are looked up."""
    if not isinstance(pairs, dict):
        return {}
    return {
        str(key)[:60].lower(): plain_name(value)
        for key, value in list(pairs.items())[:200]
        if isinstance(value, str | int | float) and not isinstance(value, bool)
    }


def name_of(tags: dict[str, str]) -> str:
    """Name among the tags."""
    return next((tags[key] for key in ("name", "title", "label") if tags.get(key)), "")


def too_many(features: Sequence[object], file: str) -> None:
    """Refuse a file with more features than any ground has."""
    if len(features) > MAX_FEATURES:
        raise InputError(f"{file}: more than {MAX_FEATURES} features; cut out the surroundings of the ground")


def _short(value: float) -> str:
    return f"{value:g}" if math.isfinite(value) else "?"
