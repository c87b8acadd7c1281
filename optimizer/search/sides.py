"""Which places see which questions from opposite sides: the table between places that clashes of rows rest on."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.compiled import kernel
from standmark.optimizer.search.clash import Bits, Rows
from standmark.optimizer.search.kernel import NAME, each, products

Sides = NDArray[np.int8]
Shares = NDArray[np.int32]

ONE_THREAD_SIDES = 20_000_000  # sides that are compared before a second thread has woken up
AT_ONCE = 64  # places held against those before them at a time


def opposed(side: Sides, share: Shares, ends: Rows, *, above: int, known: Bits | None = None) -> Bits:
    """Mark which questions two places see from opposite sides, one bit for each question; `between` of `Clashes`.

    Parameters
    ----------
    side : shape (n_places, n), on which side of each of some targets a place lies: 1, 2, or 0 for neither
    share : shape (n,), of its question that each target is, of a sum below 2^24
    ends : shape (n_questions + 1,), where the targets of each question begin, and where the last ones end
    above : share of a question that two places must see from opposite sides
    known : of the first places

    Returns
    -------
    shape (n_places, n_places, n_words)
    """
    n, start, n_words = len(side), 0 if known is None else len(known), max(1, -(-(len(ends) - 1) // 64))
    between = np.zeros((n, n, n_words), np.uint64)
    if known is not None:
        between[:start, :start] = known
    is_large = (n - start) * n * share.size > ONE_THREAD_SIDES
    middle = int(((n * n + start * start) / 2) ** 0.5) if is_large else start  # as many pairs before it as after
    compiled = kernel(NAME) if share.size else None
    side, ends, share = np.ascontiguousarray(side), np.ascontiguousarray(ends, np.intp), np.ascontiguousarray(share)
    if compiled is not None:
        sums = np.stack(
            [np.add.reduceat(share * (side == own), ends[:-1], axis=1, dtype=np.int32) for own in (1, 2)], axis=2
        )
        whole = np.add.reduceat(share, ends[:-1], dtype=np.int32)

    def span(first: int, stop: int) -> None:
        if compiled is None:
            _oppose(between, side, share, ends, above, first, stop)
        else:
            compiled.opposed(between, side, share, ends, sums, whole, np.array([first, stop, above], np.intp))

    each(lambda part: span(*part), pairwise((start, middle, n)), is_large=is_large)
    return between


def _oppose(between: Bits, side: Sides, share: Shares, ends: Rows, above: int, first: int, stop: int) -> None:
    left, right, worth = (side == 1).astype(np.float32), (side == 2).astype(np.float32), share.astype(np.float32)
    for start in range(first, stop, AT_ONCE):
        end = min(start + AT_ONCE, stop)
        for index, (a, b) in enumerate(pairwise(ends.tolist())):
            weighed = np.hstack([left[start:end, a:b] * worth[a:b], right[start:end, a:b] * worth[a:b]])
            is_opposite = products(weighed, np.hstack([right[:end, a:b], left[:end, a:b]])) > above
            word, bit = index // 64, np.uint64(1) << np.uint64(index % 64)
            between[start:end, :end, word] |= bit * is_opposite
            between[:end, start:end, word] |= bit * is_opposite.T
