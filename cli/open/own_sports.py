"""Sports of one's own: definition files beside a match file, or in a folder `sports` there."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from standmark.cli.open.catalogue import sport_data
from standmark.geometry.errors import InputError
from standmark.sports.library import load_definition, load_sport
from standmark.sports.toml.file import read_toml

FOLDER = "sports"
MOST_FILES = 300  # that are looked at


def own_sport_files(folder: Path) -> tuple[str, ...]:
    """Paths of definition files in a folder, as a match file beside them names them."""
    found = [*sorted(folder.glob("*.toml")), *sorted((folder / FOLDER).glob("*.toml"))][:MOST_FILES]
    return tuple(path.relative_to(folder).as_posix() for path in found if _is_definition(path))


def own_sports(folder: Path, names: Iterable[str]) -> list[dict[str, Any]]:
    """Each sound definition as the page reads it, with its file; those with faults are left out."""
    sports = []
    for name in dict.fromkeys(names):
        path = folder / name
        try:
            sports.append(sport_data(load_sport(path), load_definition(path).definition) | {"file": name})
        except InputError:
            continue
    return sports


def _is_definition(path: Path) -> bool:
    try:
        tables = read_toml(path).data
    except InputError:
        return False
    return "match" not in tables and ("extends" in tables or {"moment", "area"} <= set(tables))
