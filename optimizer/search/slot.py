"""Slots: cameras still to be placed and the rows open to them; the dearest choice of rows within the caps."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]

MOST_PATTERNS = 20_000  # ways to spread cameras over limited groups; beyond it the caps leave the bound


@dataclass(frozen=True, eq=False)
class Slot:
    """`count` interchangeable cameras of one kind and the rows open to them."""

    rows: Rows  # sorted
    count: int
    kind: int  # index of the kind of camera


@dataclass(frozen=True, eq=False)
class Patterns:
    """Every way to spread the cameras of all slots over groups within the caps."""

    slot: Rows  # shape (n_cameras,), slot of each camera
    group: Rows  # shape (n_patterns, n_cameras)
    rank: Rows  # shape (n_patterns, n_cameras), how many earlier cameras of its slot share its group
    is_last: NDArray[np.bool_]  # shape (n_patterns, n_cameras), no later camera of its slot shares its group


@dataclass(frozen=True, eq=False)
class Choice:
    """The dearest rows that the caps allow together."""

    total: float  # sum of their worth; -inf when no choice keeps the caps
    picks: tuple[Rows, ...]  # for each slot, positions in its rows
    others: tuple[Floats, ...]  # for each slot and row, the most that the other cameras add when that row is taken


def choose(slots: tuple[Slot, ...], worth: list[Floats], group: Rows, caps: tuple[int, ...]) -> Choice:
    """Pick rows of greatest total worth: `count` different rows of each slot, no group above its cap.

    Rows that are open to two slots may be picked by both, so the total bounds what separate rows can reach.

    Parameters
    ----------
    slots : cameras to place
    worth : for each slot, shape (n,), worth of each of its rows
    group : shape (n_rows,), group of every row of the model, 0 unlimited
    caps : most rows of each group that may still be taken; caps[0] is not read
    """
    patterns = patterns_for(tuple(slot.count for slot in slots), caps) if len(caps) > 1 else None
    if patterns is None:
        return _choose_freely(slots, worth)
    return _choose_by_pattern(slots, worth, [group[slot.rows] for slot in slots], patterns, len(caps))


def top(values: Floats, count: int) -> Rows:
    """Positions of the `count` largest values, in no order; fewer when there are fewer."""
    if values.size <= count:
        return np.arange(values.size)
    if count == 1:
        return np.array([values.argmax()])
    positions: Rows = np.argpartition(values, values.size - count)[values.size - count :]
    return positions


@lru_cache(maxsize=256)
def patterns_for(counts: tuple[int, ...], caps: tuple[int, ...]) -> Patterns | None:
    """Spread cameras over groups; None when no cap binds or the ways are too many."""
    n_cameras = sum(counts)
    if min(caps[1:]) >= n_cameras or len(caps) ** n_cameras > MOST_PATTERNS:
        return None
    limits = np.array([n_cameras, *caps[1:]])
    slot = np.repeat(np.arange(len(counts)), counts)
    ways = np.array(list(product(range(len(caps)), repeat=n_cameras)), dtype=np.intp)
    used = (ways[:, :, None] == np.arange(len(caps))).sum(axis=1)
    ways = ways[(used <= limits).all(axis=1)]
    same = (ways[:, :, None] == ways[:, None, :]) & (slot[:, None] == slot[None, :])
    rank = np.tril(same, -1).sum(axis=2)
    is_last = ~np.triu(same, 1).any(axis=2)
    return Patterns(slot, ways, rank, is_last)


def _choose_freely(slots: tuple[Slot, ...], worth: list[Floats]) -> Choice:
    picks = tuple(top(values, slot.count) for slot, values in zip(slots, worth, strict=True))
    sums = [
        float(values[pick].sum()) if pick.size == slot.count else -np.inf
        for slot, values, pick in zip(slots, worth, picks, strict=True)
    ]
    total = sum(sums)
    others = []
    for values, pick in zip(worth, picks, strict=True):
        rest = np.full(values.size, -np.inf)
        if np.isfinite(total):
            rest[:] = total - values[pick].min()
            rest[pick] = total - values[pick]
        others.append(rest)
    return Choice(total, picks, tuple(others))


def _choose_by_pattern(
    slots: tuple[Slot, ...], worth: list[Floats], groups: list[Rows], patterns: Patterns, n_groups: int
) -> Choice:
    deepest = max(slot.count for slot in slots)
    best = np.full((len(slots), n_groups, deepest), -np.inf)
    where = np.zeros((len(slots), n_groups, deepest), np.intp)
    for s, (slot, values) in enumerate(zip(slots, worth, strict=True)):
        for g in range(n_groups):
            members = np.flatnonzero(groups[s] == g)
            order = members[top(values[members], slot.count)]
            order = order[np.argsort(-values[order], kind="stable")]
            best[s, g, : order.size] = values[order]
            where[s, g, : order.size] = order
    cells = (patterns.slot, patterns.group, patterns.rank)
    parts = best[cells]
    totals = parts.sum(axis=1)
    if not np.isfinite(totals).any():
        return Choice(
            -np.inf,
            tuple(np.zeros(0, np.intp) for _ in slots),
            tuple(np.full(values.size, -np.inf) for values in worth),
        )
    winner = int(totals.argmax())
    chosen = where[cells][winner]
    picks = tuple(chosen[patterns.slot == s] for s in range(len(slots)))
    others = _others_by_pattern(groups, patterns, parts, n_groups)
    for rest, values, pick in zip(others, worth, picks, strict=True):
        rest[pick] = np.maximum(rest[pick], totals[winner] - values[pick])
    return Choice(float(totals[winner]), picks, others)


def _others_by_pattern(groups: list[Rows], patterns: Patterns, parts: Floats, n_groups: int) -> tuple[Floats, ...]:
    most = np.full((len(groups), n_groups), -np.inf)
    for camera, s in enumerate(patterns.slot):
        rest = np.delete(parts, camera, axis=1).sum(axis=1)
        rest[~patterns.is_last[:, camera]] = -np.inf
        np.maximum.at(most[s], patterns.group[:, camera], rest)
    return tuple(most[s][own] for s, own in enumerate(groups))
