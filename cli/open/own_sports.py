"""Sports of one's own: definition files beside a match file, or in a folder `sports` there."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path
from typing import Any

from standmark.cli.open.catalogue import sport_data
from standmark.geometry.errors import InputError
from standmark.sports.library import load_definition, load_sport
from standmark.sports.toml.file import read_text

FOLDER = "sports"
MOST_FILES = 300  # that are looked at
OF_A_MATCH = re.compile(r"^\s*\[\s*match\s*\]", re.MULTILINE)


def own_sport_files(folder: Path) -> tuple[str, ...]:
    """Paths of files in a folder that may be definitions, as a match file beside them names them.

    Their text is looked at, not parsed: what is no definition after all is left out by `own_sports`.
    """
    found = [*sorted(folder.glob("*.toml")), *sorted((folder / FOLDER).glob("*.toml"))][:MOST_FILES]
    return tuple(path.relative_to(folder).as_posix() for path in found if _may_be_definition(path))


def own_sports(folder: Path, names: Iterable[str]) -> list[dict[str, Any]]:
    """Each sound definition as the page reads it, with its file; those with faults are left out."""
    found = ((name, _sport_of(folder / name, _stamp(folder / name))) for name in dict.fromkeys(names))
    return [data | {"file": name} for name, data in found if data is not None]


@lru_cache(maxsize=MOST_FILES)  # asked for again with every change of the match
def _sport_of(path: Path, _stamp: tuple[int, int] | None) -> dict[str, Any] | None:
    try:
        return sport_data(load_sport(path), load_definition(path).definition)
    except InputError:
        return None


def _stamp(path: Path) -> tuple[int, int] | None:
    """When a file was written, and its size: whether it has changed since."""
    try:
        stat = path.stat()
    except OSError:
        return None
    return stat.st_mtime_ns, stat.st_size


def _may_be_definition(path: Path) -> bool:
    try:
        text = read_text(path)
    except InputError:
        return False
    return ("extends" in text or ("moment" in text and "area" in text)) and not OF_A_MATCH.search(text)
