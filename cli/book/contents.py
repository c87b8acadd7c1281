"""What is in a book, ground by ground: enough for its index, small enough to hold thousands in memory."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from standmark.cli.book.league_map import Pin
from standmark.cli.book.record_types import (
    GroundRecord,
)
from standmark.cli.drawing.letters import record_texts
from standmark.cli.drawing.text_size import missing_letters
from standmark.optimizer.standard.standard import Standard, role_codes


@dataclass(frozen=True)
class IndexLine:
    """One ground in the index."""

    code: str
    name: str
    path: str
    sport: str
    key: str  # of its result
    n_met: int
    n_positions: int
    short: tuple[str, ...]  # codes of needed roles that fall short
    latitude: float | None
    longitude: float | None
    pages: int
    missing: str  # letters that the paper font lacks

    @property
    def file(self) -> str:
        """Name of its page, without ending."""
        return self.code.lower()


@dataclass(frozen=True)
class Failure:
    """A file that is not in the book, and why."""

    path: str
    reason: str  # a line a mistake, each with the path in front

    @property
    def own_reasons(self) -> list[str]:
        """Mistakes without the path: "line 3: match.start: ..."."""
        lines = (line.removeprefix(self.path).lstrip(": ") for line in self.reason.splitlines())
        return [re.sub(r"^(\d+): ", r"line \1: ", line) for line in lines]


@dataclass(frozen=True)
class RoleCount:
    """How a role fares over the whole league."""

    code: str
    name: str
    n_grounds: int  # that should have it
    n_filled: int
    n_met: int


@dataclass(frozen=True)
class Contents:
    """A whole book in outline."""

    standard: Standard
    lines: tuple[IndexLine, ...]  # in the order of codes
    failures: tuple[Failure, ...]
    roles: tuple[RoleCount, ...]

    @property
    def n_positions(self) -> int:
        """Positions of all grounds together."""
        return sum(line.n_positions for line in self.lines)

    @property
    def n_short_grounds(self) -> int:
        """Grounds where a needed position falls short."""
        return sum(bool(line.short) for line in self.lines)


def line_of(record: GroundRecord, key: str) -> IndexLine:
    """Outline a ground."""
    return IndexLine(
        code=record["code"],
        name=record["name"],
        path=record["path"],
        sport=record["sport_name"],
        key=key,
        n_met=record["met"],
        n_positions=len(record["positions"]),
        short=tuple(code.rpartition("-")[2] for code in record["short"]),
        latitude=record["latitude"],
        longitude=record["longitude"],
        pages=record["pages"],
        missing=missing_letters(record_texts(record)),
    )


class RoleTally:
    """Counts how roles fare, ground after ground."""

    def __init__(self) -> None:
        self.counts: dict[str, list[Any]] = {}

    def add(self, record: GroundRecord) -> None:
        """Count the positions of one ground."""
        for position in record["positions"]:
            own = self.counts.setdefault(position["role_code"], [position["role"], 0, 0, 0])
            own[1] += 1
            own[2] += position["filled"]
            own[3] += position["met"]

    def roles(self, standard: Standard) -> tuple[RoleCount, ...]:
        """Give the counts in the order of a standard."""
        codes = (code for role in standard.roles for code in role_codes(role) if code in self.counts)
        return tuple(RoleCount(code, *self.counts[code]) for code in codes)


def shared_names(lines: Sequence[IndexLine]) -> set[str]:
    """Names that more than one ground has: their files tell them apart."""
    return {name for name, n in Counter(line.name for line in lines).items() if n > 1}


def code_example(book: Contents) -> str:
    """Spell out one code of the book."""
    if not book.lines:
        return ""
    line = book.lines[0]
    role = next((role for role in book.roles if role.name.endswith(", left")), book.roles[0])
    return f"For example, {line.code}-{role.code} is “{role.name}” at {line.name}."


def pins(lines: Sequence[IndexLine]) -> Iterator[Pin]:
    """Give the grounds whose place is known, for the map."""
    for line in lines:
        if line.latitude is not None and line.longitude is not None:
            yield Pin(line.code, line.name, line.latitude, line.longitude, bool(line.short))
