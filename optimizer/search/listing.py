"""Every set of rows whose bound exceeds a goal, as long as they are few."""

from __future__ import annotations

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.optimizer.search.overlap import most_shared_on_a_tree
from standmark.optimizer.search.problem import Rows
from standmark.optimizer.search.slot import Domain, Slot, top, with_rows


def sets_above(domain: Domain, rho: tuple[Floats, ...], *, least: float, most_sets: int) -> Rows | None:
    """List the choices of rows, `count` of each slot, whose rho add up to more than `least`.

    Returns
    -------
    shape (n_sets, n_cameras), rows in the order of the slots; None if more than `most_sets` partial sets are met
    """
    sets = np.zeros((1, 0), np.intp)
    sums = np.zeros(1)
    later = [float(values[top(values, slot.count)].sum()) for slot, values in zip(domain.slots, rho, strict=True)]
    for index, (slot, values) in enumerate(zip(domain.slots, rho, strict=True)):
        order = np.argsort(-values, kind="stable")
        rows, values = slot.rows[order], values[order]
        first = np.zeros(len(sets), np.intp)
        for n_left in range(slot.count, 0, -1):
            # the next row and the n_left - 1 after it add at most n_left times its own rho
            wanted = (least - sum(later[index + 1 :]) - sums) / n_left
            joined = _joined(values, first, wanted, most_sets)
            if joined is None:
                return None
            parent, position = joined
            sets = np.column_stack([sets[parent], rows[position]])
            sums = sums[parent] + values[position]
            first = position + 1
    kept: Rows = sets[sums > least]
    return kept


def rows_beyond_overlap(
    domain: Domain, rho: tuple[Floats, ...], shared: Singles, *, least: float
) -> tuple[Domain, tuple[Floats, ...]]:
    """Drop the rows that are in no set whose rho, less what each other row shares with them, exceed `least`."""
    while True:
        kept_rows, kept_rho = [], []
        for s, (slot, values) in enumerate(zip(domain.slots, rho, strict=True)):
            most = values.copy()
            for other, (beside, added) in enumerate(zip(domain.slots, rho, strict=True)):
                most += _most_added(slot.rows, beside, added, shared, beside.count - (s == other))
            keep = most > least
            kept_rows.append(slot.rows[keep])
            kept_rho.append(values[keep])
        n_before = domain.n_rows
        domain, rho = with_rows(domain, kept_rows), tuple(kept_rho)
        if domain.n_rows > 0.8 * n_before or domain.is_empty:
            return domain, rho


def sets_beyond_overlap(
    domain: Domain, rho: tuple[Floats, ...], shared: Singles, *, least: float, most_sets: int
) -> Rows | None:
    """List the choices of rows whose rho, less what they share along a tree, add up to more than `least`.

    Parameters
    ----------
    domain : its rows are positions in `shared`
    shared : shape (n, n), what any two rows have in common at least

    Returns
    -------
    shape (n_sets, n_cameras), rows in the order of the slots; None if more than `most_sets` partial sets are met
    """
    n_rows, slots = len(shared), domain.slots
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
        slot, values = slots[index], rho[index]
        to_come = [(beside[other, slots[other].count], later[other]) for other in by_size[turn + 1 :]]
        order = np.argsort(-values, kind="stable")
        rows, values = slot.rows[order], values[order]
        first, rest = np.zeros(len(sets), np.intp), _most_to_come(to_come, sets)
        for n_left in range(slot.count, 0, -1):
            wanted = (least - rest - sums) / n_left
            joined = _joined(values, first, wanted, most_sets)
            if joined is None:
                return None
            parent, position = joined
            sums = sums[parent] + values[position] - shared[sets[parent], rows[position, None]].max(axis=1, initial=0.0)
            sets, first = np.column_stack([sets[parent], rows[position]]), position + 1
            own = np.minimum((n_left - 1) * values[position], beside[index, n_left - 1][sets].min(axis=1))
            rest = _most_to_come(to_come, sets)
            is_open = sums + own + rest > least
            sets, sums, first, rest = sets[is_open], sums[is_open], first[is_open], rest[is_open]
    added = np.zeros(n_rows)
    for slot, values in zip(slots, rho, strict=True):
        added[slot.rows] = values
    sets = sets[:, _columns(slots, by_size)]
    kept: Rows = sets[added[sets].sum(axis=1) - most_shared_on_a_tree(shared, sets) > least]
    return kept


def _joined(values: Floats, first: Rows, wanted: Floats, most_sets: int) -> tuple[Rows, Rows] | None:
    """Pair each partial set with every row that may join it; None if the pairs are more than `most_sets`.

    Parameters
    ----------
    values : shape (n_rows,), rho, falling
    first, wanted : shape (n_sets,), position of the first row that may join a set, and what its rho must exceed

    Returns
    -------
    for each pair, index of the set and position of the row
    """
    n_next = np.maximum(np.searchsorted(-values, -wanted, side="left") - first, 0)
    if n_next.sum() > most_sets:
        return None
    parent = np.repeat(np.arange(first.size), n_next)
    return parent, first[parent] + np.arange(parent.size) - np.repeat(np.cumsum(n_next) - n_next, n_next)


def _most_to_come(slots: list[tuple[Floats, float]], sets: Rows) -> Floats:
    """Most that slots add to partial sets: what they add beside the member that leaves them least.

    Parameters
    ----------
    slots : for each, most that it adds beside each row, and at all
    """
    total = np.zeros(len(sets))
    for beside, most in slots:
        total += beside[sets].min(axis=1, initial=most)
    return total


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
