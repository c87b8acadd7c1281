"""What people call the sports: names and aliases in the definitions."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from standmark.geometry.errors import InputError
from standmark.sports.toml.file import read_toml

Called = tuple[str, str | None]  # key of a sport, and of the preset that the name means


@cache
def names_in(paths: tuple[Path, ...]) -> dict[str, list[Called]]:
    """Sports and presets by every plain name and alias that their own files give them."""
    called: dict[str, list[Called]] = {}
    for path in paths:
        try:
            data = read_toml(path).data
        except InputError:
            continue  # told when that sport is asked for
        presets = [entry for entry in _list(data.get("preset")) if isinstance(entry, dict)]
        own = [*_list(data.get("aliases")), *filter(None, [data.get("name")])]
        named = [(name, None) for name in own]
        named += [(name, entry.get("key")) for entry in presets for name in _list(entry.get("aliases"))]
        for name, preset in named:
            entries = called.setdefault(plain(str(name)), [])
            if path.stem not in [key for key, _ in entries]:
                entries.append((path.stem, preset))
    return called


def plain(words: str) -> str:
    """Letters and digits only, in one case: "Rugby 7s" and "rugby_7s" are one name."""
    return "".join(c for c in words.casefold() if c.isalnum())


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []
