"""What a feature of a map is to a match: by its name (`allowed roof 6m`), or by the tags that maps use."""

from __future__ import annotations

import re
from dataclasses import dataclass

from standmark.cli.ground.map_file import MapFeature
from standmark.sports.toml.length import FOOT_M

NAMED = re.compile(r"(pitch|field|court|rink|allowed|forbidden|obstacle|stand)s?\b[\s:_-]*(.*)", re.IGNORECASE)
AREA_WORDS = ("field", "court", "rink")  # other words for a pitch, as long as nothing else is meant
HEIGHT = re.compile(
    r"(?P<low>\d{1,3}(?:[.,]\d{1,2})?)(?:\s*(?:-|–|to)\s*(?P<high>\d{1,3}(?:[.,]\d{1,2})?))?\s*(?P<unit>m|ft|feet|')\.?$",
    re.IGNORECASE,
)
BARRIERS = ("wall", "fence", "hedge", "retaining_wall", "city_wall")
STANDS = ("grandstand", "stadium", "bleachers")


@dataclass(frozen=True)
class Role:
    """What a feature is, what it is called, and how high, where the map says so."""

    kind: str  # "pitch", "allowed", "forbidden", "obstacle" or "stand"
    label: str  # without the word for the kind and the height
    height_m: tuple[float, float] | None = None  # low and high; the same where one figure is given
    storeys: str = ""  # as the map says it; no height follows from it


def role_of(feature: MapFeature) -> Role | None:
    """Role of a feature; None where it is nothing to a match. A name speaks before a tag."""
    named = NAMED.fullmatch(feature.name)
    height = _tagged_height(feature.tags)
    storeys = feature.tags.get("building:levels", "")
    if named:
        kind = "pitch" if named[1].lower() in AREA_WORDS else named[1].lower()
        label, in_name = _split_height(named[2])
        return Role(kind, label, in_name or height, storeys)
    kind = _tagged_kind(feature)
    return None if kind is None else Role(kind, feature.name, height, storeys)


def _tagged_kind(feature: MapFeature) -> str | None:
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
    found = HEIGHT.search(words)
    if found is None:
        return words.strip(" ,:-"), None
    return words[: found.start()].strip(" ,:-"), _metres(found)


def _tagged_height(tags: dict[str, str]) -> tuple[float, float] | None:
    """Height that a tag gives; a bare number is metres, as on the maps."""
    for key in ("height", "height_m", "building:height", "top_m"):
        words = tags.get(key, "").strip()
        found = HEIGHT.fullmatch(words) or HEIGHT.fullmatch(f"{words} m")
        if found:
            return _metres(found)
    return None


def _metres(found: re.Match[str]) -> tuple[float, float]:
    scale = 1.0 if found["unit"].lower() == "m" else FOOT_M
    low = round(float(found["low"].replace(",", ".")) * scale, 2)
    high = round(float((found["high"] or found["low"]).replace(",", ".")) * scale, 2)
    return min(low, high), max(low, high)
