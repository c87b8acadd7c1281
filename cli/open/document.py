"""The text of a match file, changed piece by piece: comments, order and everything that is not touched stay.

A change is a list of edits on parts of the file (`parts.py`). All edits of a change are made, or none.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import tomlrt

from standmark.cli.open.order import headers_of, put_in_order
from standmark.cli.open.parts import LISTS, TABLES, EditError, Text, found_at, parsed
from standmark.geometry.errors import shown

IN_ONE_LINE = {"side_names", "stand_height_m", "must_cover"}  # { "+x" = "mill end" }, where the file has none yet
DATES = {("match", "start")}
MOST_ENTRIES = 600
MOST_DEPTH = 6

Marks = dict[str, tuple[int, ...]]  # for each list the numbers of its entries, in the order of the file


@dataclass(frozen=True)
class Edit:
    """One edit: put a value, add an entry, drop an entry."""

    do: str  # "put", "add", "drop"
    part: str
    field: str = ""
    value: Any = None  # None: take the key away


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
        document, headers = tomlrt.loads(before.text), headers_of(before.text)
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
            document = _ordered(document, headers)
        document = _tidied(document, [edit.part for edit in edits if edit.do == "put" and edit.value is None])
        text = tomlrt.dumps(document)
        text.encode("utf-8")
    except (tomlrt.TOMLError, UnicodeEncodeError, RecursionError, TypeError, ValueError) as error:
        raise EditError(f"that cannot be written into the file ({shown(error)})") from error
    if parsed(text) != document.to_dict():
        raise EditError("that cannot be written into the file: it would not be read back the same")
    return Text(text, marks, number), tuple(added)


def _put(document: Any, edit: Edit, marks: Marks) -> None:
    if not edit.field:
        raise EditError("put needs a field")
    if ":" in edit.part:
        kind, index = _entry(edit.part, marks)
        table = found_at(document, LISTS[kind])[index]
    elif edit.part in TABLES:
        table = found_at(document, TABLES[edit.part])
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


def _ordered(document: Any, headers: list[str]) -> Any:
    """Put new sections where the guide has them; `headers` are those known so far, and grow."""
    text = tomlrt.dumps(document)
    new = [header for header in headers_of(text) if header not in headers]
    headers += new
    for header in new:
        moved = put_in_order(text, header)
        if parsed(moved) == document.to_dict():
            text = moved
    return tomlrt.loads(text) if new else document


def _tidied(document: Any, parts: Sequence[str]) -> Any:
    """Take out single tables that have lost their last key, unless a comment would go with them."""
    for part in dict.fromkeys(part for part in parts if part in TABLES and part != "match"):
        for path in (TABLES[part][:length] for length in range(len(TABLES[part]), 0, -1)):
            table = found_at(document, path)
            if table is None or len(table):
                break
            text = tomlrt.dumps(document)
            trial = tomlrt.loads(text)
            above = trial if len(path) == 1 else found_at(trial, path[:-1])
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
    entries = found_at(document, path)
    if entries is not None and len(entries) >= MOST_ENTRIES:
        raise EditError(f"more than {MOST_ENTRIES} entries")
    if entries is None:
        above = document if len(path) == 1 else document.ensure_table(list(path[:-1]))
        above[path[-1]] = tomlrt.AoT([value])
    else:
        entries.append(value)


def _drop(document: Any, kind: str, index: int) -> None:
    path = LISTS[kind]
    entries = found_at(document, path)
    if len(entries) > 1:
        del entries[index]
    else:
        above = document if len(path) == 1 else found_at(document, path[:-1])
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
