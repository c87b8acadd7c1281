"""The grounds of a league's folder: which there are, and what each falls short of."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from standmark.cli.book.tree import GroundFile, ground_paths, read_source
from standmark.cli.book.words import shortfall_words
from standmark.cli.open.shapes import drawing, size_words
from standmark.cli.words.units import Units
from standmark.geometry.errors import InputError, StandmarkError
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.read_match import match_of
from standmark.optimizer.standard.apply import Position, apply_standard
from standmark.optimizer.standard.read_standard import read_standard
from standmark.optimizer.standard.standard import Standard
from standmark.sports.toml.file import parse_toml

STANDARD = "standard.toml"
MOST_GROUNDS = 500
Tell = Callable[[str, Any, int], None]


class Survey:
    """Grounds of a folder, looked through one by one in the background."""

    def __init__(self, folder: Path, tell: Tell) -> None:
        """Read the standard and list the grounds.

        Raises
        ------
        InputError : the standard of the folder is wrong, or there is no ground
        """
        self.folder, self._tell = folder, tell
        self._is_over = False
        own = folder / STANDARD
        self.standard, self._steps, _ = read_standard(own if own.is_file() else None)
        self._files = dict(list(_grounds(folder))[:MOST_GROUNDS])
        self.entries = [_named(path, file) for path, file in self._files.items()]
        if not self.entries:
            raise InputError(f"{folder}: no match file (*.toml) in it; give a match file or a folder of grounds")
        self._thread = threading.Thread(target=self._look_through, name="grounds", daemon=True)
        self._thread.start()

    def path(self, ground: str) -> Path:
        """File of a ground of the list.

        Raises
        ------
        InputError : not on the list
        """
        if ground not in self._files:
            raise InputError("no such ground in this folder")
        return self._files[ground]

    def close(self) -> None:
        """End the thread after the ground that it looks at."""
        self._is_over = True

    def _look_through(self) -> None:
        for index, entry in enumerate(self.entries):
            if self._is_over:
                return
            self.entries[index] = entry | self._seen(entry["id"])
            self._tell("grounds", self.entries, 0)

    def _seen(self, ground: str) -> dict[str, Any]:
        """What a ground falls short of, and its drawing."""
        try:
            path = self.path(ground)
            source = read_source(ground, path, root=self.folder)
            if not isinstance(source, GroundFile):
                return {"fault": "cannot be read", "is_looked_at": True}
            match = match_of(parse_toml(source.text, name=ground), folder=path.parent)
            return _facts(match) | {"short": _short(match, self.standard, self._steps), "is_looked_at": True}
        except StandmarkError as error:
            return {"fault": str(error).splitlines()[0], "is_looked_at": True}
        except Exception as error:  # a bug at one ground must not hide the others
            return {"fault": f"this went wrong on our side ({type(error).__name__})", "is_looked_at": True}


def _grounds(folder: Path) -> Iterator[tuple[str, Path]]:
    """Match files below a folder, by their path in it."""
    for path, file in ground_paths(folder):
        if os.path.isfile(file) and isinstance(read_source(path, file, root=folder), GroundFile):
            yield path, file


def _named(path: str, file: Path) -> dict[str, Any]:
    source = read_source(path, file, root=file.parent)
    name = source.venue_name if isinstance(source, GroundFile) else ""
    return {"id": path, "name": name or file.stem, "sport": "", "words": "", "short": [], "fault": None,
            "drawing": None, "is_looked_at": False}  # fmt: skip


def _facts(match: Match) -> dict[str, Any]:
    area = match.sport.area
    places = len(match.venue.allowed)
    return {
        "name": match.venue.name,
        "sport": match.sport.name,
        "words": f"{match.sport.name}, {size_words(area)}, {places} place{'' if places == 1 else 's'}",
        "drawing": drawing(area),
    }


def _short(match: Match, standard: Standard, steps: dict[str, float]) -> list[dict[str, Any]]:
    """What a ground lacks of the standard, position by position; those that are only wished for are left out."""
    applied = apply_standard(match, standard, steps=steps)
    needed = [position for position in applied.positions if position.slot.role.needed]
    return [{"name": _called(p), "lacks": lacks} for p in needed if (lacks := _lacks(p))]


def _called(position: Position) -> str:
    slot = position.slot
    return f"{slot.code}, {slot.role.name.lower()}{f' at the {slot.end} end' if slot.end else ''}"


def _lacks(position: Position) -> list[str]:
    """What a position lacks, a line each."""
    if position.filled is None:
        return ["no place" + (" beside the others" if position.is_crowded_out else "")]
    return [
        shortfall_words(
            {"wish": a.wish.key, "value": a.value, "wanted": list(a.wish.band), "short_by": a.short}, Units.METRIC
        )
        for a in position.filled.answers
        if a.short != 0
    ]
