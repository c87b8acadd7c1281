"""The sports that are known, and how one is loaded at an actual size."""

from __future__ import annotations

import difflib
import math
import os
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from standmark.geometry.errors import InputError

if TYPE_CHECKING:
    from standmark.sports.schema import PresetTable, SportFile
    from standmark.sports.sport import Sport
    from standmark.sports.toml_file import TomlFile

DEFINITIONS = Path(__file__).parent / "definitions"
ABSURD = 10.0  # a ground this many times longer than the rules' longest is a slip of the keyboard


def sport_keys(sports_dir: Path | None = None) -> tuple[str, ...]:
    """Keys of the sports that come with the tool, and of those in a folder of the user's."""
    folders = [DEFINITIONS] if sports_dir is None else [DEFINITIONS, sports_dir]
    return tuple(sorted({path.stem for folder in folders for path in folder.glob("*.toml")}))


@dataclass(frozen=True)
class SportHead:
    """What a list says of a sport, read without checking the whole definition."""

    key: str
    name: str
    summary: str
    setting: str
    presets: tuple[str, ...]  # the first is used when none is asked for


def sport_heads(sports_dir: Path | None = None) -> tuple[SportHead, ...]:
    """Key, name and presets of every known sport; a definition of the user's takes the place of ours.

    Raises
    ------
    InputError
        When a file of the user's cannot be read as TOML or lacks its name.
    """
    return tuple(_head(_definition_path(key, sports_dir)) for key in sport_keys(sports_dir))


def _head(path: Path) -> SportHead:
    from standmark.sports.toml_file import read_toml

    data = read_toml(path).data
    presets = data.get("preset", [])
    keys = [entry["key"] for entry in presets if isinstance(entry, dict) and isinstance(entry.get("key"), str)]
    words = {name: data.get(name) for name in ("name", "summary", "setting")}
    if not keys or not all(isinstance(word, str) for word in words.values()):
        raise InputError(f"{path}: not a sport definition; it needs name, summary, setting and at least one [[preset]]")
    return SportHead(key=path.stem, presets=tuple(keys), **{name: str(word) for name, word in words.items()})


def load_sport(
    key_or_path: str | Path,
    *,
    preset: str | None = None,
    length_m: float | None = None,
    width_m: float | None = None,
    sports_dir: Path | None = None,
) -> Sport:
    """Load a sport by its key, or from a file, at its usual size or at the one given [m].

    A ground that the rules do not allow is still a ground: only absurd sizes are refused.

    Raises
    ------
    InputError
        When the sport or preset is not known, the file is not a sound definition, or a size is absurd.
    """
    from standmark.sports.realise import realise, sizes_of
    from standmark.sports.toml_file import problems_error

    path = _definition_path(key_or_path, sports_dir)
    file, definition = load_definition(path)
    chosen = _preset(definition, preset)
    length, width = sizes_of(definition, chosen)
    sport, problems = realise(
        definition,
        preset=chosen,
        length_m=_actual(length_m, length.typical, length.max, f"{definition.key}: length_m"),
        width_m=_actual(width_m, width.typical, width.max, f"{definition.key}: width_m"),
    )
    if sport is None or problems:
        raise problems_error(problems, text=file.text, file=file.name)
    return sport


def load_definition(path: Path) -> tuple[TomlFile, SportFile]:
    """Read and check a definition file, at no size yet.

    Raises
    ------
    InputError
        When it cannot be read or is not a sound definition.
    """
    stamp = path.stat() if path.exists() else None
    return _load_definition(path, None if stamp is None else (stamp.st_mtime_ns, stamp.st_size))


@cache
def _load_definition(path: Path, _stamp: tuple[int, int] | None) -> tuple[TomlFile, SportFile]:
    from standmark.sports.realise import check_references
    from standmark.sports.schema import SportFile
    from standmark.sports.toml_file import problems_error, read_toml, validate

    file = read_toml(path)
    definition = validate(SportFile, file.data, text=file.text, file=file.name)
    problems = check_references(definition)
    if problems:
        raise problems_error(problems, text=file.text, file=file.name)
    return file, definition


def _definition_path(key_or_path: str | Path, sports_dir: Path | None) -> Path:
    words = str(key_or_path)
    if isinstance(key_or_path, Path) or words.endswith(".toml") or os.sep in words:
        return Path(key_or_path)
    known = sport_keys(sports_dir)
    if words not in known:
        near = difflib.get_close_matches(words.lower().replace("_", "-").replace(" ", "-"), known, n=3, cutoff=0.5)
        guess = f"; did you mean {' or '.join(near)}?" if near else f"; known: {', '.join(known)}"
        raise InputError(f'unknown sport "{words[:60]}"{guess} (standmark sports lists them all)')
    own = None if sports_dir is None else sports_dir / f"{words}.toml"
    return own if own is not None and own.exists() else DEFINITIONS / f"{words}.toml"


def _preset(definition: SportFile, wanted: str | None) -> PresetTable:
    if wanted is None:
        return definition.preset[0]
    known = [entry.key for entry in definition.preset]
    if wanted not in known:
        near = difflib.get_close_matches(wanted, known, n=1)
        guess = f'; did you mean "{near[0]}"?' if near else ""
        raise InputError(f'{definition.key}: unknown preset "{wanted[:60]}"; known: {", ".join(known)}{guess}')
    return definition.preset[known.index(wanted)]


def _actual(wanted_m: float | None, typical_m: float, largest_m: float | None, name: str) -> float:
    if wanted_m is None:
        return typical_m
    limit_m = ABSURD * (largest_m or typical_m)
    if not math.isfinite(wanted_m) or not 0 < wanted_m <= limit_m:
        raise InputError(
            f"{name}: {wanted_m:g} m cannot be right; allowed: over 0 to {limit_m:g}; usual: {typical_m:g}"
        )
    return wanted_m
