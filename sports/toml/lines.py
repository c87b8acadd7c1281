"""Where in a TOML text something is written: the parser does not tell."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from typing import Any

CLOSINGS = ("", "]", "]]", "]]]")  # what may end an array that a cut went through


def line_of(text: str, path: Sequence[str | int]) -> int | None:
    """Line (from 1) on which `path` is first written; None when the text does not hold it.

    A prefix of a TOML text that is cut at the end of a statement (or inside an array, which is
    then closed) is TOML itself, and knowing a path is monotone in the number of lines: bisect it.
    """
    lines = text.splitlines(keepends=True)
    low, high = 1, len(lines)
    if not _knows(lines, high, path):
        return None
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if _knows(lines, middle, path) else (middle + 1, high)
    return _statement_start(lines, low)


def _knows(lines: Sequence[str], count: int, path: Sequence[str | int]) -> bool:
    """Is `path` written within the statements that the first `count` lines hold."""
    for end in range(count, 0, -1):
        data = _parse_prefix(lines, end)
        if data is not None:
            return _holds(data, path)
    return False


def _parse_prefix(lines: Sequence[str], count: int) -> dict[str, Any] | None:
    prefix = "".join(lines[:count])
    for closing in CLOSINGS:
        try:
            return tomllib.loads(prefix + closing)
        except ValueError:
            continue
    return None


def _holds(value: Any, path: Sequence[str | int]) -> bool:
    for part in path:
        if isinstance(part, int):
            if not isinstance(value, list) or part >= len(value):
                return False
        elif not isinstance(value, dict) or part not in value:
            return False
        value = value[part]
    return True


def _statement_start(lines: Sequence[str], line: int) -> int:
    """First line of a text over several lines that ends on `line`."""
    start = line
    while start > 1 and _parse_prefix(lines, start - 1) is None:
        start -= 1
    return start
