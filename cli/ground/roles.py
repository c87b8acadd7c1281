"""What a feature of a map is to a match: by its name (`allowed roof 6m`), or by the tags that maps use."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from standmark.cli.ground.map_file import MapFeature
from standmark.sports.toml.length import FOOT_M

FeatureKind = Literal["pitch", "allowed", "forbidden", "obstacle", "stand"]

NAMED = re.compile(r"(pitch|field|court|rink|allowed|forbidden|obstacle|stand)s?\b[\s:_-]*(.*)", re.IGNORECASE)
NAMED_KINDS: tuple[FeatureKind, ...] = ("pitch", "allowed", "forbidden", "obstacle", "stand")
HEIGHT = re.compile(
    r"(?P<low>\d{1,3}(?:[.,]\d{1,2})?)(?:\s*(?:-|–|to)\s*(?P<high>\d{1,3}(?:[.,]\d{1,2})?))?\s*(?P<unit>m|ft|feet|')\.?$",
    re.IGNORECASE,
)
BARRIERS = ("wall", "fence", "hedge", "retaining_wall", "city_wall")
STANDS = ("grandstand", "stadium", "bleachers")


@dataclass(frozen=True)
class FeatureRole:
    """What a feature is, what it is called, and how high, where the map says so."""

    kind: FeatureKind
    label: str  # without the word for the kind and the height
    height_m: tuple[float, float] | None = None  # low and high; the same where one figure is given
    storeys: str = ""  # as the map says it; no height follows from it


def role_of(feature: MapFeature) -> FeatureRole | None:
    """Role of a feature; None where it is nothing to a match. A name speaks before a tag."""
    named = NAMED.fullmatch(feature.name)
    height = _tagged_height(feature.tags)
    storeys = feature.tags.get("building:levels", "")
    if named:
        word = named[1].lower()
        label, in_name = _split_height(named[2])
        spoken: FeatureKind = next(
            (kind for kind in NAMED_KINDS if kind == word), "pitch"
        )  # a field, court or rink is a pitch
        return FeatureRole(spoken, label, in_name or height, storeys)
    kind = _tagged_kind(feature)
    return None if kind is None else FeatureRole(kind, feature.name, height, storeys)


def _tagged_kind(feature: MapFeature) -> FeatureKind | None:
    tags = feature.tags
    if tags.get("leisure") == "pitch":
        return "pitch"
    if tags.get("building") in STANDS or tags.get("leisure") == "bleachers":
        return "stand"
    if tags.get("building", "no") != "no" and feature.kind == "area":
        return "obstacle"
    if tags.get("barrier") in BARRIERS and feature.kind != "point":
        return "obstacle"
    return None


def _split_height(words: str) -> tuple[str, tuple[float, float] | None]:
    """Part a label from the height at its end."""
    height = HEIGHT.search(words)
    if height is None:
        return words.strip(" ,:-"), None
    return words[: height.start()].strip(" ,:-"), _metres(height)


def _tagged_height(tags: dict[str, str]) -> tuple[float, float] | None:
    """Height that a tag gives; a bare number is metres, as on the maps."""
    for key in ("height", "height_m", "building:height", "top_m"):
        words = tags.get(key, "").strip()
        height = HEIGHT.fullmatch(words) or HEIGHT.fullmatch(f"{words} m")
        if height:
            return _metres(height)
    return None


def _metres(height: re.Match[str]) -> tuple[float, float]:
    scale = 1.0 if height["unit"].lower() == "m" else FOOT_M
    low = round(float(height["low"].replace(",", ".")) * scale, 2)
    high = round(float((height["high"] or height["low"]).replace(",", ".")) * scale, 2)
    return min(low, high), max(low, high)
