"""The ground files of a folder tree: what is read, in a fixed order, and what is left aside."""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from standmark.geometry.errors import InputError
from standmark.optimizer.match.venue_schema import is_ground_code
from standmark.sports.library import own_folder
from standmark.sports.toml.file import TomlFile, read_toml

HIDDEN = "."
NOT_A_GROUND = ("role", "standard", "schema_version")  # top-level keys of standards and sport definitions
SUFFIX = ".toml"


@dataclass(frozen=True)
class GroundFile:
    """One ground file, read whole."""

    path: str  # inside the tree, with / between the parts; printable, and the ground's identity between editions
    text: str  # of the file, whole
    venue_name: str  # "" where the file does not say
    own_code: str | None  # code that the file asks for, not checked yet
    has_bearing: bool
    sport_file: tuple[str, str] | None  # name and text of the definition it brings along


@dataclass(frozen=True)
class Unreadable:
    """A file that is no sound TOML, and why."""

    path: str
    reason: str


def ground_paths(folder: Path, *, leave_out: Path | None = None) -> Iterator[tuple[str, Path]]:
    """Every TOML file below a folder in the order of its printable path; hidden ones and linked folders left out.

    A folder that cannot be looked into is given as a path of its own, so that it is missed. Of two names that differ
    only in how their letters are composed, one is spelled out.

    Parameters
    ----------
    leave_out : a folder that is not looked into: the book itself
    """
    paths: list[Path] = []
    own = None if leave_out is None else leave_out.resolve()

    def note(error: OSError) -> None:
        """Keep a folder that cannot be read, so that it is reported."""
        paths.append(Path(error.filename))

    for here, folders, files in os.walk(folder, onerror=note):
        folders[:] = [name for name in folders if not name.startswith(HIDDEN) and (Path(here) / name).resolve() != own]
        paths += [Path(here) / n for n in files if n.lower().endswith(SUFFIX) and not n.startswith(HIDDEN)]
    by_name: dict[str, Path] = {}
    for path in sorted(paths):
        name = path.relative_to(folder).as_posix()
        plain = printable(name)
        by_name[os.fsencode(name).decode("ascii", "backslashreplace") if plain in by_name else plain] = path
    yield from sorted(by_name.items())


def read_source(path: str, file: Path, *, root: Path) -> GroundFile | Unreadable | None:
    """Read one file far enough to know what it is; None if it is a standard or a sport definition."""
    try:
        _refuse_outside(file, root, "a link that leads out of the folder; put the file itself there")
        toml = read_toml(file)
    except InputError as error:
        return Unreadable(path, error.unquoted.replace(str(file), path))
    if "match" not in toml.data and any(key in toml.data for key in NOT_A_GROUND):
        return None
    try:
        return GroundFile(path, toml.text, *_venue_facts(toml), _sport_file(toml, file, root))
    except InputError as error:
        return Unreadable(path, f"{path}: {error.unquoted}")


def printable(path: str) -> str:
    """Path as text that any file can hold: letters composed, bytes that are no text and controls spelled out."""
    text = unicodedata.normalize("NFC", os.fsencode(path).decode("utf-8", "backslashreplace"))
    return "".join(c if _is_plain(c) else f"\\u{ord(c):04x}" for c in text)


def _is_plain(letter: str) -> bool:
    return unicodedata.category(letter) not in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp") or letter == "\u200d"


def _refuse_outside(path: Path, root: Path, why: str) -> None:
    """Refuse a file that lies elsewhere once links are followed.

    Raises
    ------
    InputError
    """
    try:
        is_inside = path.resolve().is_relative_to(root.resolve())
    except (OSError, ValueError, RuntimeError) as error:  # a circle of links, or a name that no file can have
        raise InputError(f"{path}: cannot be read ({getattr(error, 'strerror', None) or error})") from error
    if not is_inside:
        raise InputError(f"{path}: {why}")


def _venue_facts(toml: TomlFile) -> tuple[str, str | None, bool]:
    venue = toml.data.get("venue")
    if not isinstance(venue, dict):
        return "", None, False
    name, code = venue.get("name"), venue.get("code")
    own_code = code if is_ground_code(code) else None  # a wrong one is reported with its line when the ground is read
    return name if isinstance(name, str) else "", own_code, "bearing_deg" in venue


def _sport_file(toml: TomlFile, file: Path, root: Path) -> tuple[str, str] | None:
    """Name and text of a definition that only this machine has: the file's own, or one of the user's folder."""
    match = toml.data.get("match")
    name, sport = (match.get("sport_file"), match.get("sport")) if isinstance(match, dict) else (None, None)
    if isinstance(name, str):
        path = file.parent / name
        _refuse_outside(path, root, "outside the folder; put the definition inside it")
        return name, read_toml(path).text
    folder = own_folder()
    if folder is None or not isinstance(sport, str) or not re.fullmatch(r"[a-z0-9-]+", sport):
        return None
    path = folder / f"{sport}.toml"
    return (path.name, read_toml(path).text) if path.is_file() else None
