"""Pairs of rows that no set holds together, kept as bits."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.arrays import Flags

Rows = NDArray[np.intp]
Bits = NDArray[np.uint64]
MOST_LOOKED_AT = 4_000_000  # pairs of one question; beyond it the answer is the safe one
FIRST_LOOK = 8  # rows of a cluster that settle most questions


@dataclass(frozen=True, eq=False)
class Clashes:
    """Two rows clash when a bit is set in the marks of both and between their places."""

    mark: Bits  # shape (n_rows, n_words)
    place: Rows  # shape (n_rows,), counted from 0
    between: Bits  # shape (n_places, n_places, n_words), symmetric


def clash(clashes: Clashes, rows: Rows, others: Rows) -> Flags:
    """Say which rows clash with which others; the arrays of rows are broadcast."""
    shared = clashes.mark[rows] & clashes.mark[others]
    return np.asarray((shared & clashes.between[clashes.place[rows], clashes.place[others]]).any(axis=-1))


def clash_with_all(clashes: Clashes, cluster: Rows, rows: Rows) -> Flags:
    """Say which rows clash with every row of a cluster; none where that takes too long to tell, shape (n_rows,)."""
    left = np.arange(rows.size if cluster.size * rows.size <= MOST_LOOKED_AT else 0)
    start, n = 0, FIRST_LOOK
    while left.size and start < cluster.size:
        left = left[clash(clashes, rows[left, None], cluster[None, start : start + n]).all(axis=1)]
        start, n = start + n, 4 * n
    result: Flags = np.zeros(rows.size, dtype=np.bool_)
    result[left] = True
    return result


def clashes_of(clashes: Clashes, rows: Rows) -> Clashes:
    """Keep some rows, in the order given."""
    return replace(clashes, mark=clashes.mark[rows], place=clashes.place[rows])
