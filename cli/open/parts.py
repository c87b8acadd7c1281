"""What the text of a match file says, part by part, for a page that shows and changes it.

Single tables are parts by their name; entries of lists (`allowed`, `camera`, ...) have marks such as `allowed:3`, which
stay with an entry while others come and go, and which are never written.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import lru_cache
from typing import Any

import tomlrt

from standmark.geometry.errors import InputError, shown

# part -> where it stands in the file
TABLES: dict[str, tuple[str, ...]] = {
    "match": ("match",),
    "venue": ("venue",),
    "answers": ("venue", "answers"),
    "side_names": ("venue", "side_names"),
    "stand_height_m": ("venue", "stand_height_m"),
    "rules": ("rules",),
    "must_cover": ("rules", "must_cover"),
    "weights": ("weights",),
    "film": ("film",),
    "light": ("light",),
    "weather": ("weather",),
    "day": ("day",),
    "advice": ("advice",),
    "crew": ("crew",),
}
LISTS: dict[str, tuple[str, ...]] = {
    "allowed": ("venue", "allowed"),
    "forbidden": ("venue", "forbidden"),
    "obstacle": ("venue", "obstacle"),
    "furniture": ("venue", "furniture"),
    "camera": ("camera",),
}


class EditError(InputError):
    """An edit that cannot be made: another part, an entry that has gone, or a value that no file can hold."""


@dataclass(frozen=True)
class Text:
    """A match file as text, with the marks of its entries."""

    text: str
    marks: Mapping[str, tuple[int, ...]]
    next_mark: int  # number of the entry that comes next


def marked(text: str) -> Text:
    """Give marks to the entries of a file's lists, from 1 on.

    Raises
    ------
    EditError : the text is not TOML, or a list is written as something else
    """
    data, marks, number = parsed(text), {}, 1
    for kind, path in LISTS.items():
        entries = found_at(data, path)
        n = len(entries) if isinstance(entries, list) else 0
        marks[kind] = tuple(range(number, number + n))
        number += n
    return Text(text, marks, number)


@lru_cache(maxsize=4)  # the newest text is asked about several times
def parsed(text: str) -> dict[str, Any]:
    """Read a text; times without seconds may stand in it. What is returned is not to be changed.

    Raises
    ------
    EditError : not TOML
    """
    try:
        return tomlrt.loads(text).to_dict()
    except (tomlrt.TOMLError, RecursionError, ValueError) as error:
        raise EditError(f"not TOML: {shown(error)}") from error


def said(before: Text) -> dict[str, Any]:
    """What the file says, part by part, as plain JSON values; entries of lists with their marks."""
    data = parsed(before.text)
    told: dict[str, Any] = {}
    for part, path in TABLES.items():
        table = found_at(data, path)
        nested = {key for of, (*above, key) in {**TABLES, **LISTS}.items() if tuple(above) == path and of != part}
        table = table if isinstance(table, dict) else {}
        told[part] = {key: _plain(value) for key, value in table.items() if key not in nested}
    for kind, path in LISTS.items():
        entries = found_at(data, path)
        entries = [entry for entry in entries if isinstance(entry, dict)] if isinstance(entries, list) else []
        told[kind] = [
            {"mark": f"{kind}:{number}"} | {key: _plain(value) for key, value in entry.items()}
            for number, entry in zip(before.marks[kind], entries, strict=False)
        ]
    return told


def part_of(path: Sequence[str | int], marks: Mapping[str, tuple[int, ...]]) -> tuple[str | None, str | None]:
    """Part and field that a path through the file belongs to: ("venue", "allowed", 2) is allowed:7."""
    for kind, at in LISTS.items():
        depth = len(at)
        if tuple(path[:depth]) == at and len(path) > depth and isinstance(path[depth], int):
            index = int(path[depth])
            numbers = marks.get(kind, ())
            field = str(path[depth + 1]) if len(path) > depth + 1 else None
            return (f"{kind}:{numbers[index]}" if index < len(numbers) else kind), field
    for part, at in sorted(TABLES.items(), key=lambda pair: -len(pair[1])):
        if tuple(path[: len(at)]) == at:
            return part, str(path[len(at)]) if len(path) > len(at) else None
    return (str(path[0]), None) if path else (None, None)


def found_at(data: Any, path: Sequence[str]) -> Any:
    """Part of a document at a path; None where it has none."""
    for key in path:
        if not isinstance(data, Mapping) or key not in data:
            return None
        data = data[key]
    return data


def _plain(value: Any) -> Any:
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {key: _plain(entry) for key, entry in value.items()}
    if isinstance(value, list):
        return [_plain(entry) for entry in value]
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return value


def flat(told: Mapping[str, Any]) -> Iterator[tuple[str, str, Any]]:
    """Part, field and value of everything that a file says."""
    for part, held in told.items():
        for entry in held if isinstance(held, list) else [held]:
            name = str(entry.get("name") or entry.get("what") or entry.get("mark")) if isinstance(held, list) else part
            for key, value in entry.items():
                if key != "mark":
                    yield name, key, value


def plain_json(value: Any) -> str:
    """Value in one line, for people."""
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
