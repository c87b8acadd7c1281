"""Domains: cameras still to be placed, the rows open to them and the caps left; the dearest choice of rows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product

import numpy as np

from standmark.geometry.arrays import Flags, Floats
from standmark.optimizer.search.problem import Rows

MOST_PATTERNS = 20_000  # ways to spread cameras over limited groups; beyond it the caps leave the bound


@dataclass(frozen=True, eq=False)
class Slot:
    """`count` interchangeable cameras of one kind and the rows open to them."""

    rows: Rows  # sorted
    count: int
    kind: int  # index of the kind of camera


@dataclass(frozen=True, eq=False)
class Domain:
    """What may still be chosen: slots to fill and the caps that are left."""

    slots: tuple[Slot, ...]
    caps: tuple[int, ...]  # most rows of each group that may still be taken; caps[0] is not read

    @property
    def n_cameras(self) -> int:
        """Cameras still to be placed."""
        return sum(slot.count for slot in self.slots)

    @property
    def n_rows(self) -> int:
        """Rows open to all slots; those open to two count twice."""
        return sum(slot.rows.size for slot in self.slots)

    @property
    def is_empty(self) -> bool:
        """Whether some slot has fewer rows than cameras."""
        return any(slot.rows.size < slot.count for slot in self.slots)

    @property
    def rows(self) -> Rows:
        """Rows open to some slot, sorted."""
        if len(self.slots) == 1:
            return self.slots[0].rows
        rows: Rows = np.unique(np.concatenate([slot.rows for slot in self.slots]))
        return rows


@dataclass(frozen=True, eq=False)
class Patterns:
    """Every way to spread the cameras of all slots over groups within the caps."""

    slot: Rows  # shape (n_cameras,), slot of each camera
    group: Rows  # shape (n_patterns, n_cameras)
    rank: Rows  # shape (n_patterns, n_cameras), how many earlier cameras of its slot share its group
    is_last: Flags  # shape (n_patterns, n_cameras), no later camera of its slot shares its group


def with_rows(domain: Domain, rows: list[Rows]) -> Domain:
    """Open other rows to the slots of a domain, in their order."""
    return replace(domain, slots=tuple(replace(slot, rows=own) for slot, own in zip(domain.slots, rows, strict=True)))


def dearest(domain: Domain, worth: list[Floats], groups: list[Rows]) -> tuple[float, tuple[Rows, ...]]:
    """Pick rows of greatest total worth: `count` different rows of each slot, no group above its cap.

    Rows that are open to two slots may be picked by both, so the total bounds what separate rows can reach.

    Parameters
    ----------
    domain : cameras to place
    worth : for each slot, shape (n,), worth of each of its rows
    groups : for each slot, shape (n,), group of each of its rows, 0 unlimited; not read without caps

    Returns
    -------
    the total, -inf when no choice keeps the caps; for each slot, positions in its rows
    """
    slots, patterns = domain.slots, _patterns_of(domain)
    if patterns is None:
        total, picks = 0.0, []
        for slot, values in zip(slots, worth, strict=True):
            pick = top(values, slot.count)
            picks.append(pick)
            total += float(values[pick].sum()) if pick.size == slot.count else -np.inf
        return total, tuple(picks)
    parts, where = _best_by_pattern(domain, worth, groups, patterns)
    totals = parts.sum(axis=1)
    if not np.isfinite(totals).any():
        return -np.inf, tuple(np.zeros(0, np.intp) for _ in slots)
    winner = int(totals.argmax())
    return float(totals[winner]), tuple(where[winner][patterns.slot == s] for s in range(len(slots)))


def most_with(domain: Domain, worth: list[Floats], groups: list[Rows]) -> tuple[Floats, ...]:
    """Bound the total worth of choices that hold a certain row, for every row of every slot.

    Arguments as for `dearest`. -inf for rows that no choice within the caps can hold.
    """
    total, picks = dearest(domain, worth, groups)
    if total == -np.inf:
        return tuple(np.full(values.size, -np.inf) for values in worth)
    patterns = _patterns_of(domain)
    if patterns is None:
        most = [total - values[pick].min() + values for values, pick in zip(worth, picks, strict=True)]
    else:
        parts, _where = _best_by_pattern(domain, worth, groups, patterns)
        most = [
            rest[own] + values
            for rest, own, values in zip(_rest_by_group(patterns, parts, domain), groups, worth, strict=True)
        ]
    for bounds, pick in zip(most, picks, strict=True):
        bounds[pick] = total
    return tuple(np.minimum(bounds, total) for bounds in most)


def top(values: Floats, count: int) -> Rows:
    """Positions of the `count` largest values, in no order; fewer when there are fewer."""
    if values.size <= count:
        return np.arange(values.size)
    if count == 1:
        return np.array([values.argmax()])
    positions: Rows = values.argpartition(values.size - count)[values.size - count :]
    return positions


def _patterns_of(domain: Domain) -> Patterns | None:
    counts = tuple(slot.count for slot in domain.slots)
    return patterns_for(counts, domain.caps) if len(domain.caps) > 1 else None


@lru_cache(maxsize=256)
def patterns_for(counts: tuple[int, ...], caps: tuple[int, ...]) -> Patterns | None:
    """Spread cameras over groups; None if no cap binds or the patterns are too many."""
    n_cameras = sum(counts)
    if min(caps[1:]) >= n_cameras or len(caps) ** n_cameras > MOST_PATTERNS:
        return None
    limits = np.array([n_cameras, *caps[1:]])
    slot = np.repeat(np.arange(len(counts)), counts)
    group = np.array(list(product(range(len(caps)), repeat=n_cameras)), dtype=np.intp)
    used = (group[:, :, None] == np.arange(len(caps))).sum(axis=1)
    group = group[(used <= limits).all(axis=1)]
    same = (group[:, :, None] == group[:, None, :]) & (slot[:, None] == slot[None, :])
    rank = np.tril(same, -1).sum(axis=2)
    is_last = ~np.triu(same, 1).any(axis=2)
    return Patterns(slot, group, rank, is_last)


def _best_by_pattern(
    domain: Domain, worth: list[Floats], groups: list[Rows], patterns: Patterns
) -> tuple[Floats, Rows]:
    """For each pattern and camera, the worth of its row and where it stands in the slot; -inf for none."""
    slots, n_groups = domain.slots, len(domain.caps)
    deepest = max(slot.count for slot in slots)
    best = np.full((len(slots), n_groups, deepest), -np.inf)
    where = np.zeros((len(slots), n_groups, deepest), np.intp)
    for s, (slot, values, own) in enumerate(zip(slots, worth, groups, strict=True)):
        for g in range(n_groups):
            members = np.flatnonzero(own == g)
            order = members[top(values[members], slot.count)]
            order = order[np.argsort(-values[order], kind="stable")]
            best[s, g, : order.size] = values[order]
            where[s, g, : order.size] = order
    cells = (patterns.slot, patterns.group, patterns.rank)
    return best[cells], where[cells]


def _rest_by_group(patterns: Patterns, parts: Floats, domain: Domain) -> Floats:
    """Most that the other cameras add when one camera of a slot stands in a group; shape (n_slots, n_groups)."""
    most = np.full((len(domain.slots), len(domain.caps)), -np.inf)
    for camera, s in enumerate(patterns.slot):
        rest = np.delete(parts, camera, axis=1).sum(axis=1)
        rest[~patterns.is_last[:, camera]] = -np.inf
        np.maximum.at(most[s], patterns.group[:, camera], rest)
    return most
