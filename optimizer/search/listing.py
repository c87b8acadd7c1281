"""Every set of rows whose bound exceeds a goal, as long as they are few."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from standmark.optimizer.search.slot import Slot, top

Floats = NDArray[np.float64]
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
