"""The one heavy operation of the search: weighted sums of element-wise maxima, in blocks, on two threads."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Rows = NDArray[np.intp]

N_THREADS = 2
BLOCK_VALUES = 320_000  # 1.3 MB of float32: stays in a core's own cache
LONGEST_DOT = 10_000  # longer dot products make some BLAS builds start threads of their own


def maxdot(quality: Singles, level: Singles, weight: Singles, rows: Rows | None = None) -> Floats:
    """Weighted sum over targets of the larger of a row and a common level, for every row.

    Computes sum_t weight[t] * max(quality[i, t], level[t]) in float32 products; partial sums over at most
    10,000 targets are added in float64.

    Parameters
    ----------
    quality : shape (n_rows, n_targets)
    level : shape (n_targets,)
    weight : shape (n_targets,)
    rows : shape (n,), which rows to take, in this order; None takes all

    Returns
    -------
    shape (n,) or (n_rows,)
    """
    n = quality.shape[0] if rows is None else rows.size
    total = np.zeros(n)
    spans = np.linspace(0, n, (N_THREADS if n * quality.shape[1] > BLOCK_VALUES else 1) + 1).astype(int)
    jobs = [(quality, level, weight, rows, total, lo, hi) for lo, hi in pairwise(spans)]
    if len(jobs) == 1:
        _maxdot_span(*jobs[0])
    else:
        list(_workers().map(lambda job: _maxdot_span(*job), jobs))
    return total


def _maxdot_span(
    quality: Singles, level: Singles, weight: Singles, rows: Rows | None, total: Floats, start: int, stop: int
) -> None:
    n_targets = quality.shape[1]
    height = max(1, BLOCK_VALUES // max(n_targets, 1))
    buffer = np.empty((min(height, max(stop - start, 1)), n_targets), np.float32)
    for low in range(start, stop, height):
        high = min(low + height, stop)
        block = buffer[: high - low]
        if rows is None:
            np.maximum(quality[low:high], level, out=block)
        else:
            np.take(quality, rows[low:high], axis=0, out=block, mode="clip")
            np.maximum(block, level, out=block)
        for left in range(0, n_targets, LONGEST_DOT):
            columns = slice(left, left + LONGEST_DOT)
            total[low:high] += np.vecdot(block[:, columns], weight[columns])


@lru_cache(maxsize=1)
def _workers() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(N_THREADS, thread_name_prefix="maxdot")
