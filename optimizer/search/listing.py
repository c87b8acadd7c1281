"""Every set of rows whose bound exceeds a goal, as long as they are few."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from standmark.optimizer.search.overlap import most_shared_on_a_tree
from standmark.optimizer.search.slot import Slot, top

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Rows = NDArray[np.intp]


def sets_above(slots: tuple[Slot, ...], rho: tuple[Floats, ...], *, least: float, most_sets: int) -> Rows | None:
    """List the choices of rows, `count` of each slot, whose rho add up to more than `least`.

    Returns
    -------
    shape (n_sets, n_cameras), rows in the order of the slots; None when more than `most_sets` partial sets are met
    """
    sets = np.zeros((1, 0), np.intp)
    sums = np.zeros(1)
    later = [float(values[top(values, slot.count)].sum()) for slot, values in zip(slots, rho, strict=True)]
    for index, (slot, values) in enumerate(zip(slots, rho, strict=True)):
        order = np.argsort(-values, kind="stable")
        rows, values = slot.rows[order], values[order]
        first = np.zeros(len(sets), np.intp)
        for n_left in range(slot.count, 0, -1):
            # the next row and the n_left - 1 after it add at most n_left times its own rho
            wanted = (least - sum(later[index + 1 :]) - sums) / n_left
            n_next = np.maximum(np.searchsorted(-values, -wanted, side="left") - first, 0)
            n_sets = int(n_next.sum())
            if n_sets > most_sets:
                return None
            parent = np.repeat(np.arange(len(sets)), n_next)
            position = first[parent] + np.arange(n_sets) - np.repeat(np.cumsum(n_next) - n_next, n_next)
            sets = np.column_stack([sets[parent], rows[position]])
            sums = sums[parent] + values[position]
            first = position + 1
    kept: Rows = sets[sums > least]
    return kept


def rows_beyond_overlap(
    slots: tuple[Slot, ...], rho: tuple[Floats, ...], shared: Singles, *, least: float
) -> tuple[tuple[Slot, ...], tuple[Floats, ...]]:
    """Drop the rows that are in no set whose rho, less what each other row shares with them, exceed `least`."""
    while True:
        kept_slots, kept_rho = [], []
        for s, (slot, values) in enumerate(zip(slots, rho, strict=True)):
            most = values.copy()
            for other, (beside, added) in enumerate(zip(slots, rho, strict=True)):
                most += _most_added(slot.rows, beside, added, shared, beside.count - (s == other))
            keep = most > least
            kept_slots.append(replace(slot, rows=slot.rows[keep]))
            kept_rho.append(values[keep])
        n_before, n_after = (sum(slot.rows.size for slot in some) for some in (slots, kept_slots))
        slots, rho = tuple(kept_slots), tuple(kept_rho)
        if n_after > 0.8 * n_before or any(slot.rows.size < slot.count for slot in slots):
            return slots, rho


def sets_beyond_overlap(
    slots: tuple[Slot, ...], rho: tuple[Floats, ...], shared: Singles, *, least: float, most_sets: int
) -> Rows | None:
    """List the choices of rows whose rho, less what they share along a tree, add up to more than `least`.

    Parameters
    ----------
    slots : their rows are positions in `shared`
    shared : shape (n, n), what any two rows have in common at least

    Returns
    -------
    shape (n_sets, n_cameras), rows in the order of the slots; None when more than `most_sets` partial sets are met
    """
    n_rows = len(shared)
    every = np.arange(n_rows)
    by_size = sorted(range(len(slots)), key=lambda index: slots[index].rows.size)
    beside = {
        (index, count): _most_added(every, slots[index], rho[index], shared, count)
        for index in by_size
        for count in range(slots[index].count + 1)
    }
    sets = np.zeros((1, 0), np.intp)
    sums = np.zeros(1)
    later = [float(values[top(values, slot.count)].sum()) for slot, values in zip(slots, rho, strict=True)]
    for turn, index in enumerate(by_size):
        slot, values, to_come = slots[index], rho[index], by_size[turn + 1 :]
        order = np.argsort(-values, kind="stable")
        rows, values = slot.rows[order], values[order]
        first = np.zeros(len(sets), np.intp)
        after = np.full((len(to_come), len(sets)), np.inf)
        for member in sets.T:
            for line, other in zip(after, to_come, strict=True):
                np.minimum(line, beside[other, slots[other].count][member], out=line)
        for line, other in zip(after, to_come, strict=True):
            np.minimum(line, later[other], out=line)
        for n_left in range(slot.count, 0, -1):
            wanted = (least - after.sum(axis=0) - sums) / n_left
            n_next = np.maximum(np.searchsorted(-values, -wanted, side="left") - first, 0)
            n_sets = int(n_next.sum())
            if n_sets > most_sets:
                return None
            parent = np.repeat(np.arange(len(sets)), n_next)
            position = first[parent] + np.arange(n_sets) - np.repeat(np.cumsum(n_next) - n_next, n_next)
            row, sums, after = rows[position], sums[parent] + values[position], after[:, parent]
            own = (n_left - 1) * values[position]
            if sets.shape[1]:
                sums -= shared[sets[parent], row[:, None]].max(axis=1)
                for member in sets.T:
                    np.minimum(own, beside[index, n_left - 1][member[parent]], out=own)
            np.minimum(own, beside[index, n_left - 1][row], out=own)
            for line, other in zip(after, to_come, strict=True):
                np.minimum(line, beside[other, slots[other].count][row], out=line)
            is_open = sums + own + after.sum(axis=0) > least
            sets = np.column_stack([sets[parent[is_open]], row[is_open]])
            sums, after, first = sums[is_open], after[:, is_open], position[is_open] + 1
    added = np.zeros(n_rows)
    for slot, values in zip(slots, rho, strict=True):
        added[slot.rows] = values
    sets = sets[:, _columns(slots, by_size)]
    kept: Rows = sets[added[sets].sum(axis=1) - most_shared_on_a_tree(shared, sets) > least]
    return kept


def _columns(slots: tuple[Slot, ...], by_size: list[int]) -> Rows:
    """Where the columns of each slot, in turn, stand among columns in another order of the slots."""
    ends = np.cumsum([slots[index].count for index in by_size])
    start = {index: end - slots[index].count for index, end in zip(by_size, ends.tolist(), strict=True)}
    return np.concatenate([start[index] + np.arange(slot.count) for index, slot in enumerate(slots)])


def _most_added(rows: Rows, slot: Slot, rho: Floats, shared: Singles, count: int) -> Floats:
    """Most that `count` rows of a slot add beside each of some rows."""
    if count == 0:
        return np.zeros(rows.size)
    if slot.rows.size < count:
        return np.full(rows.size, -np.inf)
    added = rho - shared[np.ix_(rows, slot.rows)]
    if count == 1:
        most: Floats = added.max(axis=1)
        return most
    added.partition(slot.rows.size - count, axis=1)
    total: Floats = added[:, slot.rows.size - count :].sum(axis=1)
    return total
