"""The sports that are known, and how one is loaded at an actual size."""

from __future__ import annotations

import difflib
import math
import os
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from standmark.geometry.errors import InputError, shown

if TYPE_CHECKING:
    from standmark.sports.reading.schema import PresetTable, SportFile
    from standmark.sports.sport import Sport
    from standmark.sports.toml.file import Problem, TomlFile

DEFINITIONS = Path(__file__).parent / "definitions"
FOLDER_VARIABLE = "STANDMARK_SPORTS_DIR"
ABSURD = 4.0  # a ground this many times longer than the rules' longest is a slip of the keyboard
TINY = 8.0  # and so is one this many times shorter than is usual; small-sided training fits


class PresetError(InputError):
    """A preset that the sport does not have."""


class SizeError(InputError):
    """A length or width of the playing area that cannot be right.

    Parameters
    ----------
    size : which of the two
    """

    def __init__(self, message: str, size: Literal["length", "width"]) -> None:
        super().__init__(message)
        self.size = size


def sport_keys(sports_dir: Path | None = None) -> tuple[str, ...]:
    """Keys of the sports that come with the tool, and of those in a folder of the user's.

    Parameters
    ----------
    sports_dir : folder with definitions of the user's; None: the one that the environment names, if any

    Raises
    ------
    InputError
        When there is no such folder.
    """
    own = own_folder(sports_dir)
    folders = [DEFINITIONS] if own is None else [DEFINITIONS, own]
    return tuple(sorted({path.stem for folder in folders for path in folder.glob("*.toml")}))


def own_folder(sports_dir: Path | None = None) -> Path | None:
    """Folder with the user's definitions: the one given, or else the one in STANDMARK_SPORTS_DIR."""
    named = sports_dir if sports_dir is not None else os.environ.get(FOLDER_VARIABLE)
    if named is None or str(named) == "":
        return None
    if not Path(named).is_dir():
        raise InputError(f"{named}: no such folder; give a folder with sport definitions (*.toml)")
    return Path(named)


@dataclass(frozen=True, eq=False)
class DefinitionFile:
    """A definition as its file says it, as tables (laid over the sport it extends), and checked."""

    file: TomlFile
    tables: dict[str, Any]
    definition: SportFile


@dataclass(frozen=True)
class SportHead:
    """What a list says of a sport, read without checking the whole definition."""

    key: str
    name: str
    summary: str
    setting: str
    presets: tuple[str, ...]  # the first is used when none is asked for


def sport_heads(sports_dir: Path | None = None) -> tuple[SportHead, ...]:
    """Key, name and presets of every known sport; a definition of the user's replaces the built-in one.

    Raises
    ------
    InputError
        When a file of the user's cannot be read as TOML or lacks its name.
    """
    return tuple(_head(definition_path(key, sports_dir)) for key in sport_keys(sports_dir))


def _head(path: Path) -> SportHead:
    from standmark.sports.toml.file import read_toml

    data, _ = _tables(read_toml(path), path)
    presets = data.get("preset")
    presets = presets if isinstance(presets, list) else []
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
    from standmark.sports.reading.realise import sizes_of

    if not is_path(key_or_path):
        key_or_path, of_alias = sport_named(str(key_or_path), sports_dir)
        preset = preset or of_alias
    path = definition_path(key_or_path, sports_dir)
    loaded = load_definition(path)
    definition = loaded.definition
    if not is_path(key_or_path) and definition.key != key_or_path:
        raise InputError(f'{path}: key is "{shown(definition.key)}"; it must be the name of the file, "{path.stem}"')
    chosen = _preset(definition, preset)
    length, width = sizes_of(definition, chosen)
    return _at_size(
        loaded,
        definition.preset.index(chosen),
        _actual(length_m, length.typical, length.max, "length", definition.key),
        _actual(width_m, width.typical, width.max, "width", definition.key),
    )


@lru_cache(maxsize=64)  # the same match is read again for every change on the page
def _at_size(loaded: DefinitionFile, preset: int, length_m: float, width_m: float) -> Sport:
    from standmark.sports.reading.realise import realise

    definition = loaded.definition
    sport, problems = realise(definition, preset=definition.preset[preset], length_m=length_m, width_m=width_m)
    if sport is None or problems:
        raise _told(problems, loaded.tables, loaded.file)
    return sport


def sport_named(words: str, sports_dir: Path | None = None) -> tuple[str, str | None]:
    """Key of the sport that people call so, and the preset where the name says which: T20 is cricket's.

    Keys come first, then names and aliases in the definitions; case, spaces, hyphens and underscores do not matter.

    Raises
    ------
    InputError
        When no sport is called so, or several are.
    """
    from standmark.sports.reading.names import Called, names_in, plain

    known = sport_keys(sports_dir)
    if words in known:
        return words, None
    called: list[Called] = [(key, None) for key in known if plain(key) == plain(words)]
    called = called or names_in(tuple(definition_path(key, sports_dir) for key in known)).get(plain(words), [])
    if len(called) > 1:
        raise InputError(f'sport "{shown(words)}" may be {" or ".join(key for key, _ in called)}; write one of these')
    if not called:
        near = difflib.get_close_matches(words.lower().replace("_", "-").replace(" ", "-"), known, n=3, cutoff=0.6)
        guess = f"; did you mean {' or '.join(near)}?" if near else f"; known: {', '.join(known)}"
        rest = "standmark sports lists them all" if near else "docs/sport-file.md says how to add one"
        raise InputError(f'unknown sport "{shown(words)}"{guess} ({rest})')
    return called[0]


def load_definition(path: Path) -> DefinitionFile:
    """Read and check a definition file, at no size yet.

    Raises
    ------
    InputError
        When it cannot be read or is not a sound definition.
    """
    stamp = path.stat() if path.exists() else None
    return _load_definition(path, None if stamp is None else (stamp.st_mtime_ns, stamp.st_size))


@cache
def _load_definition(path: Path, _stamp: tuple[int, int] | None) -> DefinitionFile:
    from standmark.sports.reading.check_definition import check_references
    from standmark.sports.reading.schema import SportFile
    from standmark.sports.toml.file import check_tables, read_toml

    file = read_toml(path)
    tables, unknown = _tables(file, path)
    definition, problems = check_tables(SportFile, tables)
    if definition is not None:
        problems = check_references(definition)
    if definition is None or problems or unknown:
        raise _told([*unknown, *problems], tables, file)
    return DefinitionFile(file, tables, definition)


def _told(problems: list[Problem], tables: dict[str, Any], file: TomlFile) -> InputError:
    """Problems of the merged tables, told at their place in the user's own file."""
    from standmark.sports.reading.extend import own_path
    from standmark.sports.toml.file import Problem, problems_error

    if "extends" in file.data:
        problems = [Problem(own_path(p.path, tables, file.data) or p.path, p.message) for p in problems]
    return problems_error(problems, text=file.text, file=file.name)


def _tables(file: TomlFile, path: Path) -> tuple[dict[str, Any], list[Problem]]:
    """Tables of a file, laid over those of the sport that it extends, if any."""
    from standmark.sports.reading.extend import lay_over
    from standmark.sports.toml.file import Problem, did_you_mean, problems_error, read_toml

    base = file.data.get("extends")
    if base is None:
        return file.data, []
    known = sorted(p.stem for p in DEFINITIONS.glob("*.toml"))  # never one of the user's: no chain, no circle
    if base not in known:
        is_own = isinstance(base, str) and (path.parent / f"{base}.toml").is_file()
        why = "a sport of your own cannot be extended" if is_own else "unknown sport"
        message = f'{why} (got "{shown(base)}"); allowed: {", ".join(known)}{did_you_mean(base, known)}'
        raise problems_error([Problem(("extends",), message)], text=file.text, file=file.name)
    below = {name: value for name, value in read_toml(DEFINITIONS / f"{base}.toml").data.items() if name != "aliases"}
    merged, problems = lay_over(below, file.data)
    return {**merged, "key": file.data.get("key", path.stem)}, problems


def definition_path(key_or_path: str | Path, sports_dir: Path | None) -> Path:
    """Path of a definition: one that comes with the tool or lies in the user's folder, by its key, or a file.

    Raises
    ------
    InputError
        When the key is not known.
    """
    words = str(key_or_path)
    if is_path(key_or_path):
        return Path(key_or_path)
    known = sport_keys(sports_dir)
    if words not in known:
        return definition_path(sport_named(words, sports_dir)[0], sports_dir)
    folder = own_folder(sports_dir)
    own = None if folder is None else folder / f"{words}.toml"
    return own if own is not None and own.exists() else DEFINITIONS / f"{words}.toml"


def is_path(key_or_path: str | Path) -> bool:
    """Whether a sport is named by its file and not by its key."""
    return isinstance(key_or_path, Path) or key_or_path.endswith(".toml") or os.sep in key_or_path


def _preset(definition: SportFile, wanted: str | None) -> PresetTable:
    if wanted is None:
        return definition.preset[0]
    known = [entry.key for entry in definition.preset]
    if wanted not in known:
        near = difflib.get_close_matches(wanted, known, n=1)
        guess = f'; did you mean "{near[0]}"?' if near else ""
        raise PresetError(f'{definition.key} has no preset "{shown(wanted)}"; allowed: {", ".join(known)}{guess}')
    return definition.preset[known.index(wanted)]


def _actual(
    wanted_m: float | None, typical_m: float, largest_m: float | None, size: Literal["length", "width"], sport: str
) -> float:
    if wanted_m is None:
        return typical_m
    least_m, most_m = typical_m / TINY, ABSURD * (largest_m or typical_m)
    if not math.isfinite(wanted_m) or not least_m <= wanted_m <= most_m:
        raise SizeError(
            f"a {size} of {wanted_m:g} m can't be right for {sport}; allowed: {least_m:.3g} to {most_m:g} m; "
            f"usual: {typical_m:g} m",
            size,
        )
    return wanted_m
