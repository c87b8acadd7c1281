"""The text of a match file, changed piece by piece: comments, order and everything that is not touched stay.

A change is a list of edits on parts of the file. Single tables are parts by their name; entries of lists (`allowed`,
`camera`, ...) have marks such as `allowed:3`, which stay with an entry while others come and go, and which are never
written. All edits of a change are made, or none.
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
IN_ONE_LINE = {"side_names", "stand_height_m", "must_cover"}  # { "+x" = "mill end" }, where the file has none yet
DATES = {("match", "start")}
MOST_ENTRIES = 600
MOST_DEPTH = 6

Marks = dict[str, tuple[int, ...]]  # for each list the numbers of its entries, in the order of the file


class EditError(InputError):
    """An edit that cannot be made: another part, an entry that has gone, or a value that no file can hold."""


@dataclass(frozen=True)
class Text:
    """A match file as text, with the marks of its entries."""

    text: str
    marks: Mapping[str, tuple[int, ...]]
    next_mark: int  # number of the entry that comes next


@dataclass(frozen=True)
class Edit:
    """One edit: put a value, add an entry, drop an entry."""

    do: str  # "put", "add", "drop"
    part: str
    field: str = ""
    value: Any = None  # None: take the key away


def marked(text: str) -> Text:
    """Give marks to the entries of a file's lists, from 1 on.

    Raises
    ------
    EditError : the text is not TOML, or a list is written as something else
    """
    data, marks, number = parsed(text), {}, 1
    for kind, path in LISTS.items():
        entries = _found(data, path)
        n = len(entries) if isinstance(entries, list) else 0
        marks[kind] = tuple(range(number, number + n))
        number += n
    return Text(text, marks, number)


def edited(before: Text, edits: Sequence[Edit]) -> tuple[Text, tuple[str, ...]]:
    """Make all edits of a change.

    Returns
    -------
    the new text, and the marks of what was added

    Raises
    ------
    EditError : one of them cannot be made
    """
    try:
        document = tomlrt.loads(before.text)
        marks: Marks = {kind: tuple(numbers) for kind, numbers in before.marks.items()}
        number, added = before.next_mark, []
        for edit in edits:
            if edit.do == "add":
                _add(document, edit)
                marks[edit.part] = (*marks.get(edit.part, ()), number)
                added.append(f"{edit.part}:{number}")
                number += 1
            elif edit.do == "drop":
                kind, index = _entry(edit.part, marks)
                _drop(document, kind, index)
                marks[kind] = marks[kind][:index] + marks[kind][index + 1 :]
            else:
                _put(document, edit, marks)
        document = _tidied(document, [edit.part for edit in edits if edit.do == "put" and edit.value is None])
        text = tomlrt.dumps(document)
        text.encode("utf-8")
    except (tomlrt.TOMLError, UnicodeEncodeError, RecursionError, TypeError, ValueError) as error:
        raise EditError(f"that cannot be written into the file ({shown(error)})") from error
    if parsed(text) != document.to_dict():
        raise EditError("that cannot be written into the file: it would not be read back the same")
    return Text(text, marks, number), tuple(added)


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
        table = _found(data, path)
        nested = {key for of, (*above, key) in {**TABLES, **LISTS}.items() if tuple(above) == path and of != part}
        table = table if isinstance(table, dict) else {}
        told[part] = {key: _plain(value) for key, value in table.items() if key not in nested}
    for kind, path in LISTS.items():
        entries = _found(data, path)
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


def _put(document: Any, edit: Edit, marks: Marks) -> None:
    if not edit.field:
        raise EditError("put needs a field")
    if ":" in edit.part:
        kind, index = _entry(edit.part, marks)
        table = _table_at(document, LISTS[kind])[index]
    elif edit.part in TABLES:
        table = _table_at(document, TABLES[edit.part])
        if table is None and edit.value is None:
            return
        if table is None:
            table = _made(document, edit.part)
    else:
        raise EditError(f'no part "{shown(edit.part)}"; allowed: {", ".join(TABLES)}, or the mark of an entry')
    if edit.value is None:
        if edit.field in table:
            del table[edit.field]
        return
    value = _dated(edit.part, edit.field, written(edit.value))
    if edit.field in table and _same(table[edit.field], value):
        return
    table[edit.field] = value


def _tidied(document: Any, parts: Sequence[str]) -> Any:
    """Take out single tables that have lost their last key, unless a comment would go with them."""
    for part in dict.fromkeys(part for part in parts if part in TABLES and part != "match"):
        for path in (TABLES[part][:length] for length in range(len(TABLES[part]), 0, -1)):
            table = _table_at(document, path)
            if table is None or len(table):
                break
            text = tomlrt.dumps(document)
            trial = tomlrt.loads(text)
            above = trial if len(path) == 1 else _table_at(trial, path[:-1])
            del above[path[-1]]
            if tomlrt.dumps(trial).count("#") == text.count("#"):
                document = trial
    return document


def _add(document: Any, edit: Edit) -> None:
    if edit.part not in LISTS:
        raise EditError(f'no list "{shown(edit.part)}"; allowed: {", ".join(LISTS)}')
    if not isinstance(edit.value, dict):
        raise EditError("add needs the keys of the entry")
    value = written({key: entry for key, entry in edit.value.items() if entry is not None})
    path = LISTS[edit.part]
    entries = _table_at(document, path)
    if entries is not None and len(entries) >= MOST_ENTRIES:
        raise EditError(f"more than {MOST_ENTRIES} entries")
    if entries is None:
        above = document if len(path) == 1 else document.ensure_table(list(path[:-1]))
        above[path[-1]] = tomlrt.AoT([value])
    else:
        entries.append(value)


def _drop(document: Any, kind: str, index: int) -> None:
    path = LISTS[kind]
    entries = _table_at(document, path)
    if len(entries) > 1:
        del entries[index]
    else:
        above = document if len(path) == 1 else _table_at(document, path[:-1])
        del above[path[-1]]


def _entry(mark: str, marks: Marks) -> tuple[str, int]:
    kind, _, number = mark.partition(":")
    if kind not in LISTS or not number.isascii() or not number.isdigit() or len(number) > 9:
        raise EditError(f'"{shown(mark)}" is not the mark of an entry')
    if int(number) not in marks.get(kind, ()):
        raise EditError(f"{kind}:{int(number)} is no longer there")
    return kind, marks[kind].index(int(number))


def _made(document: Any, part: str) -> Any:
    path = TABLES[part]
    if part in IN_ONE_LINE:
        above = document.ensure_table(list(path[:-1]))
        above[path[-1]] = {}
        return above[path[-1]]
    return document.ensure_table(list(path))


def _table_at(document: Any, path: Sequence[str]) -> Any:
    return _found(document, path)


def _found(data: Any, path: Sequence[str]) -> Any:
    for key in path:
        if not isinstance(data, Mapping) or key not in data:
            return None
        data = data[key]
    return data


def written(value: Any, depth: int = 0) -> Any:
    """Value as a person would write it: 5, not 5.0.

    Raises
    ------
    EditError : nested too deep, not finite, or nothing that TOML knows
    """
    if depth > MOST_DEPTH:
        raise EditError("nested too deep")
    if isinstance(value, bool | str):
        return value
    if isinstance(value, int):
        if abs(value) >= 1 << 63:
            raise EditError("a number too large for a file")
        return value
    if isinstance(value, float):
        if not math.isfinite(value):
            raise EditError("a number that is not finite")
        return int(value) if value.is_integer() and abs(value) < 1e15 else value
    if isinstance(value, list):
        return [written(entry, depth + 1) for entry in value]
    if isinstance(value, dict):
        return {str(key): written(entry, depth + 1) for key, entry in value.items()}
    raise EditError("a value that no file can hold")


def _dated(part: str, field: str, value: Any) -> Any:
    if (part, field) not in DATES or not isinstance(value, str):
        return value
    try:
        return datetime.fromisoformat(value)
    except ValueError:
        return value  # the reader of the file says what a start looks like


def _same(old: Any, new: Any) -> bool:
    """Is a value written already; true and 1 are different."""
    return (type(old) is type(new) and bool(old == new)) or (
        isinstance(old, list | int | float)
        and isinstance(new, list | int | float)
        and not isinstance(old, bool)
        and not isinstance(new, bool)
        and bool(old == new)
    )


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


def same_data(first: str, second: str) -> bool:
    """Do two texts say the same, whatever comments and order they have."""
    return parsed(first) == parsed(second)
