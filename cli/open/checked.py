"""Is a text a match: the same reader as `standmark check`, with each fault at the part and field that it belongs to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from standmark.cli.open.parts import Text, part_of
from standmark.geometry.errors import InputError, printable
from standmark.optimizer.choice.candidates import camera_positions, match_candidates
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.match_schema import MatchFile
from standmark.optimizer.match.read_match import match_of
from standmark.optimizer.match.read_venue import NOWHERE
from standmark.sports.toml.file import Problem, ProblemsError, TomlFile, parse_toml, validate
from standmark.sports.toml.lines import line_of

MAX_BYTES = 1 << 20  # as for any file that is read


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong."""

    part: str | None
    field: str | None
    words: str
    index: int | None = None  # entry of a list in the field
    line: int | None = None

    def plain(self) -> dict[str, Any]:
        """As the page reads it."""
        return {"part": self.part, "field": self.field, "index": self.index, "words": self.words, "line": self.line}


@dataclass(frozen=True, eq=False)
class Checked:
    """What a text says: a match, or no sport yet, or what is wrong."""

    tables: MatchFile | None
    match: Match | None
    faults: tuple[Fault, ...] = ()
    is_nowhere: bool = False  # every place was refused: the match is there to be drawn, with no place in it


def checked(text: Text, *, folder: Path, name: str) -> Checked:
    """Read a text as a match.

    Parameters
    ----------
    folder : where the files that it names are looked for
    name : of the file, as errors say it
    """
    if len(text.text.encode("utf-8")) > MAX_BYTES:
        return Checked(None, None, (Fault(None, None, "the file is larger than 1 MiB"),))
    try:
        file = parse_toml(text.text, name=name)
        if "match" not in file.data or not {"sport", "sport_file"} & set(file.data["match"]):
            tables = validate(MatchFile, {"match": {}} | file.data, text=file.text, file=name)
            return Checked(tables, None)
        tables = validate(MatchFile, file.data, text=file.text, file=name)
        return Checked(tables, match_of(file, folder=folder))
    except ProblemsError as error:
        drawn = _without_a_place(error.problems, text, folder, name)
        return drawn or Checked(None, None, tuple(_fault(problem, text) for problem in error.problems))
    except InputError as error:
        return Checked(None, None, (Fault(None, None, _without_name(str(error), name)),))
    except TypeError:  # match is no table
        return Checked(None, None, (Fault("match", None, "must be a table of keys"),))


def _without_a_place(problems: Sequence[Problem], text: Text, folder: Path, name: str) -> Checked | None:
    """Match in which every place was refused, for drawing; None where something else is wrong."""
    if len(problems) != 1 or problems[0].message != NOWHERE:
        return None
    file = parse_toml(text.text, name=name)
    tables = validate(MatchFile, file.data, text=file.text, file=name)
    venue = {key: value for key, value in file.data["venue"].items() if key not in ("answers", "usual_places")}
    try:
        match = match_of(TomlFile(name, text.text, file.data | {"venue": venue}), folder=folder)
    except InputError:
        return None
    return Checked(tables, replace(match, venue=replace(match.venue, allowed=(), asked=())), is_nowhere=True)


def unplannable(match: Match) -> Fault | None:
    """What leaves a camera without a place, before anything is searched; None where all have one."""
    try:
        candidates = match_candidates(match)
        for camera in match.cameras:
            camera_positions(match, candidates, camera)
    except InputError as error:
        return Fault(None, None, str(error))
    return None


def new_faults(before: Sequence[Fault], after: Sequence[Fault]) -> tuple[Fault, ...]:
    """Faults that a change has brought in."""
    known = {(fault.part, fault.field, fault.words) for fault in before}
    return tuple(fault for fault in after if (fault.part, fault.field, fault.words) not in known)


def _fault(problem: Problem, text: Text) -> Fault:
    part, field = part_of(problem.path, text.marks)
    index = problem.path[-1] if problem.path and isinstance(problem.path[-1], int) and field is not None else None
    return Fault(
        part,
        field,
        printable(problem.message),
        index if isinstance(index, int) else None,
        next((n for k in range(len(problem.path), 0, -1) if (n := line_of(text.text, problem.path[:k]))), None),
    )


def _without_name(message: str, name: str) -> str:
    first = message.partition("\n")[0]
    return first.removeprefix(name).lstrip(":").strip()
