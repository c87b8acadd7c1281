"""The one heavy operation of the search: how much rows add above a common level, in blocks, on two threads.

Products and sums are float32 in runs of at most 1,024 targets; the runs are added in float64. `ROUNDING` bounds the
relative error of every figure that comes out, so that callers can keep a proof honest without summing in float64.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache, partial
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Rows = NDArray[np.intp]

N_THREADS = 2
BLOCK_VALUES = 320_000  # 1.3 MB of float32: stays in a core's own cache
ONE_THREAD_VALUES = 700_000  # less than this is done before a second thread has woken up
LONGEST_RUN = 1_024

# A float32 sum of n non-negative products, each factor rounded once and one subtraction before it, in any order,
# is within (n + 3) 2^-24 of the true sum, relatively (Higham, Accuracy and Stability of Numerical Algorithms,
# 2nd ed. 2002, section 4.2); the last 1% covers second-order terms.
ROUNDING = 1.01 * (LONGEST_RUN + 3) * 2.0**-24


def gains(quality: Singles, level: Singles, weight: Floats, rows: Rows | None = None) -> Floats:
    """Sum what each row adds above a common level: sum_t weight[t] * max(quality[i, t] - level[t], 0).

    Parameters
    ----------
    quality : shape (n_rows, n_targets)
    level : shape (n_targets,)
    weight : shape (n_targets,), >= 0
    rows : shape (n,), which rows to take, in this order; None takes all

    Returns
    -------
    shape (n,) or (n_rows,), each within a share `ROUNDING` of the true sum
    """

    def load(block: Singles, start: int, stop: int) -> None:
        if rows is None:
            np.maximum(quality[start:stop], level, out=block)
        else:
            np.take(quality, rows[start:stop], axis=0, out=block, mode="clip")
            np.maximum(block, level, out=block)

    return _summed(load, quality.shape[0] if rows is None else rows.size, level, weight)


def gains_of_sets(quality: Singles, level: Singles, weight: Floats, sets: Rows) -> Floats:
    """Sum what each set of rows adds above a common level, the best row counting at every target.

    Parameters
    ----------
    quality : shape (n_rows, n_targets)
    level : shape (n_targets,)
    weight : shape (n_targets,), >= 0
    sets : shape (n_sets, n_members), row indices

    Returns
    -------
    shape (n_sets,), each within a share `ROUNDING` of the true sum
    """

    def load(block: Singles, start: int, stop: int) -> None:
        np.take(quality, sets[start:stop, 0], axis=0, out=block, mode="clip")
        np.maximum(block, level, out=block)
        for column in range(1, sets.shape[1]):
            np.maximum(block, quality[sets[start:stop, column]], out=block)

    return _summed(load, len(sets), level, weight)


def exact_gains(quality: Singles, level: Singles, weight: Floats, rows: Rows) -> Floats:
    """Return the same as `gains`, summed in float64 throughout; for few rows."""
    above = np.maximum(quality[rows], level) - level.astype(np.float64)
    sums: Floats = above @ weight
    return sums


def _summed(load: Callable[[Singles, int, int], None], n: int, level: Singles, weight: Floats) -> Floats:
    total = np.empty(n)
    n_targets = level.size
    n_runs = max(1, -(-n_targets // LONGEST_RUN))
    run_weight = np.zeros((n_runs, -(-n_targets // n_runs)), np.float32)
    run_weight.reshape(-1)[:n_targets] = weight
    span = partial(_sum_span, load, level, run_weight, total)
    if n * n_targets <= ONE_THREAD_VALUES:
        span(0, n)
    else:
        list(_workers().map(lambda ends: span(*ends), pairwise(np.linspace(0, n, N_THREADS + 1).astype(int).tolist())))
    return total


def _sum_span(
    load: Callable[[Singles, int, int], None],
    level: Singles,
    run_weight: Singles,
    total: Floats,
    start: int,
    stop: int,
) -> None:
    height = max(1, min(BLOCK_VALUES // max(level.size, 1), stop - start))
    buffer = np.zeros((height, run_weight.size), np.float32)
    for low in range(start, stop, height):
        high = min(low + height, stop)
        padded = buffer[: high - low]
        block = padded[:, : level.size]
        load(block, low, high)
        np.subtract(block, level, out=block)
        runs = np.vecdot(padded.reshape(high - low, *run_weight.shape), run_weight)
        np.sum(runs, axis=1, dtype=np.float64, out=total[low:high])


@lru_cache(maxsize=1)
def _workers() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(N_THREADS, thread_name_prefix="gains")
