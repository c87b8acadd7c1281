"""A definition that builds on another: what it says is laid over the one it names."""

from __future__ import annotations

from typing import Any

from standmark.geometry.errors import shown
from standmark.sports.toml.file import Path_, Problem, did_you_mean

Tables = dict[str, Any]
WHOLE = "play_flow"  # with kinds of play of its own it takes the place of the one below: a chain is whole or none


def lay_over(base: Tables, own: Tables) -> tuple[Tables, list[Problem]]:
    """Lay a user's tables over those of a built-in definition.

    Tables are merged key by key. In arrays of tables an entry with the `key` (or else the `name`, and the same
    `only`) of one below changes that one, others are added. Everything else is replaced, and so is `[play_flow]` with
    kinds of its own. `without` leaves out entries by key or name.

    Returns
    -------
    the merged tables, and what `without` names but is not there
    """
    problems: list[Problem] = []
    kept = dict(base)
    without = own.get("without", {})
    if not isinstance(without, dict):
        problems.append(Problem(("without",), "must be a table of lists of keys or names: without.moment = [...]"))
        without = {}
    for kind, names in without.items():
        entries = kept.get(kind)
        if not isinstance(entries, list) or not isinstance(names, list):
            lists = [name for name, value in kept.items() if _is_named(value)]
            message = f"must be a list of keys or names, of one of: {', '.join(lists)}{did_you_mean(kind, lists)}"
            problems.append(Problem(("without", kind), message))
            continue
        known = [_label(entry) for entry in entries]
        for index, name in enumerate(names):
            if name not in known:
                message = f'nothing with this name in the sport (got "{shown(name)}"){did_you_mean(name, known)}'
                problems.append(Problem(("without", kind, index), message))
        kept[kind] = [entry for entry in entries if _label(entry) not in names]
    said = {name: value for name, value in own.items() if name not in ("extends", "without")}
    whole = said.get(WHOLE)
    if isinstance(whole, dict) and "kind" in whole:
        kept.pop(WHOLE, None)
    return _merged(kept, said), problems


def own_path(path: Path_, merged: Tables, own: Tables) -> Path_:
    """Path in the user's own file of a path in the merged tables; empty where the user wrote nothing there."""
    if path[:1] == ("without",):  # stands in the user's own file only
        return path
    parts: list[str | int] = []
    below, above = merged, own
    for part in path:
        if isinstance(part, int) and isinstance(above, list) and isinstance(below, list):
            mine = _index_of(below[part], above) if _is_named(above) else part
        else:
            mine = part if isinstance(above, dict) and part in above else None
        if mine is None:
            return tuple(parts)
        parts.append(mine)
        below, above = _step(below, part), _step(above, mine)
    return tuple(parts)


def _merged(base: Any, own: Any) -> Any:
    if isinstance(base, dict) and isinstance(own, dict):
        return {**base, **{name: _merged(base[name], own[name]) if name in base else own[name] for name in own}}
    if _is_named(base) and _is_named(own):
        entries = list(base)
        for entry in own:
            index = _index_of(entry, entries)
            if index is None:
                entries.append(entry)
            else:
                entries[index] = _merged(entries[index], entry)
        return entries
    return own


def _is_named(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(e, dict) and _label(e) for e in value)


def _label(entry: Any) -> str:
    return str(entry.get("key") or entry.get("name") or "") if isinstance(entry, dict) else ""


def _index_of(entry: Any, entries: list[Any]) -> int | None:
    wanted = (_label(entry), entry.get("only") if isinstance(entry, dict) and "key" not in entry else None)
    for index, other in enumerate(entries):
        only = other.get("only") if isinstance(other, dict) and "key" not in other else None
        if _label(other) and (_label(other), only) == wanted:
            return index
    return None


def _step(value: Any, part: str | int) -> Any:
    try:
        return value[part]
    except (KeyError, IndexError, TypeError):
        return None
