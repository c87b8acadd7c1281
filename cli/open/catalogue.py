"""What can be chosen on the page: sports with their grounds to scale, kit, purposes, rules of competitions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from zoneinfo import available_timezones

from standmark.cli.open.shapes import drawing
from standmark.cli.words.mode_words import mode_words
from standmark.cli.words.moments import moment_name
from standmark.optimizer.match.match import MOST_CAMERAS
from standmark.optimizer.match.presets import DEFAULT_LENSES, DELIVERABLES, HIRE, MODES, OPERATORS, SUPPORTS
from standmark.sports.competition import profile_keys, profile_table
from standmark.sports.library import definition_path, load_definition, load_sport, sport_keys
from standmark.sports.reading.realise import sizes_of
from standmark.sports.reading.schema import PresetTable, SportFile
from standmark.sports.sport import Sport

USUAL_LENSES = ("16-35/2.8", *DEFAULT_LENSES, "100-400/4.5-5.6", "85/1.8", "135/1.8", "300/2.8", "400/2.8")


def catalogue() -> dict[str, Any]:
    """Everything that never changes while the page is open."""
    sports = [load_sport(key) for key in sport_keys()]
    return {
        "sports": [sport_data(sport, load_definition(definition_path(sport.key, None)).definition) for sport in sports],
        "modes": [
            {
                "key": mode.name,
                "name": mode_words(mode.name),
                "mm": [mode.width_mm, mode.height_mm],
                "px": [mode.width_px, mode.height_px],
            }
            for mode in MODES.values()
        ],
        "supports": list(SUPPORTS),
        "operators": list(OPERATORS),
        "lenses": list(dict.fromkeys((*USUAL_LENSES, *(lens.name for lens in HIRE)))),
        "deliverables": [{"key": d.key, "name": d.name} for d in DELIVERABLES.values()],
        "competitions": [
            {"key": key, "name": profile_table(key).name, "sports": list(profile_table(key).sports)}
            for key in profile_keys()
        ],
        "timezones": sorted(name for name in available_timezones() if "/" in name and not name.startswith("Etc/")),
        "most_cameras": MOST_CAMERAS,
    }


def _told_apart(sport: Sport) -> Iterator[tuple[str, str]]:
    """Keys of moments with their short names; the long ones where two would be called the same."""
    short = [moment_name(moment) for moment in sport.moments]
    for moment, name in zip(sport.moments, short, strict=True):
        yield moment.key, name if short.count(name) == 1 else moment.name


def sport_data(sport: Sport, definition: SportFile) -> dict[str, Any]:
    """A sport as the page offers it: names, games, size and drawing, and what happens in it."""
    return {
        "key": sport.key,
        "name": sport.name,
        "names": list(dict.fromkeys((*definition.aliases, *(a for p in definition.preset for a in p.aliases)))),
        "summary": sport.summary,
        "setting": sport.setting,
        "players": sport.players_per_side,
        "presets": [
            {"key": p.key, "name": p.name, "size_m": _size(definition, p), "names": list(p.aliases)}
            for p in definition.preset
        ],
        "size_m": [round(sport.area.length_m, 2), round(sport.area.width_m, 2)],
        "unit": sport.area.unit,
        "moments": [{"key": key, "name": name} for key, name in _told_apart(sport)],
        "drawing": drawing(sport.area),
    }


def _size(definition: SportFile, preset: PresetTable) -> list[float]:
    return [round(size.typical, 2) for size in sizes_of(definition, preset)]
