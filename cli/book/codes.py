"""Codes of grounds: letters from the name and a number, kept from one edition to the next and never given twice.

A position's code is its ground's code, a hyphen and its role's code: HER01-M, HER01-EL.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from standmark.cli.book.tree import GroundFile

N_LETTERS = 3
NAMELESS = "GRD"  # for a name without latin letters


@dataclass(frozen=True)
class Entry:
    """A ground that has a code."""

    code: str
    path: str
    name: str


def code_grounds(
    sources: Sequence[GroundFile], *, known: Iterable[Entry] = ()
) -> tuple[dict[str, str], dict[str, str]]:
    """Give every ground its code.

    A ground is the one of an earlier edition if its file has the same path, or else if it alone has the same name
    among those that are new and those that are gone. New ones get the next free number of their letters, in the
    order of their paths.

    Parameters
    ----------
    known : grounds of earlier editions, those that are gone first

    Returns
    -------
    code by path, and by path the reason why a ground cannot have the code that it asks for
    """
    known = list(known)
    earlier = {entry.path: entry for entry in known}
    codes: dict[str, str] = {}
    refused: dict[str, str] = {}
    asked = {s.path: s.own_code for s in sources if s.own_code is not None}
    kept = _kept(sources, earlier)
    owners: dict[str, str | None] = {entry.code: None for entry in known}
    owners |= {code: path for path, code in kept.items()}
    for path, code in sorted(asked.items()):
        owner = owners.get(code, path)
        if owner is not None and owner != path:
            refused[path] = f'{path}: venue.code: "{code}" is the code of {owner} already; allowed: a code of its own'
        else:
            owners[code] = path
            codes[path] = code
    last: dict[str, int] = {}
    for source in sources:
        if source.path not in codes and source.path not in refused:
            code = kept.get(source.path) or _next_free(letters_of(source.venue_name or source.path), owners, last)
            owners[code] = source.path
            codes[source.path] = code
    return codes, refused


def letters_of(name: str) -> str:
    """Three capital letters that remind of a name."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().upper()
    letters = re.sub(r"[^A-Z]", "", plain)[:N_LETTERS]
    return letters if len(letters) == N_LETTERS else NAMELESS


def _kept(sources: Sequence[GroundFile], earlier: Mapping[str, Entry]) -> dict[str, str]:
    """Codes that grounds keep: same path, or the only new and the only gone one of a name."""
    kept = {s.path: earlier[s.path].code for s in sources if s.path in earlier}
    new = _by_name((s.venue_name, s.path) for s in sources if s.path not in earlier)
    here = {s.path for s in sources}
    gone = _by_name((e.name, e.code) for e in earlier.values() if e.path not in here)
    return kept | {paths[0]: gone[name][0] for name, paths in new.items() if len(paths) == len(gone.get(name, ())) == 1}


def _by_name(pairs: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    values: dict[str, list[str]] = {}
    for name, value in pairs:
        if name:
            values.setdefault(name, []).append(value)
    return values


def _next_free(letters: str, taken: Mapping[str, object], last: dict[str, int]) -> str:
    """Next code of some letters; `last` remembers the number that was given last."""
    number = last.get(letters, 0) + 1
    while f"{letters}{number:02d}" in taken:
        number += 1
    last[letters] = number
    return f"{letters}{number:02d}"
