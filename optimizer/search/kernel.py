"""The one heavy operation of the search: how much rows add above a common level, in blocks, on two threads.

Products and sums are float32 in runs of 64 targets; the runs are added in float64. Every result comes with a bound on
how far it is off, so that callers can keep a proof honest without summing in float64. `search_kernel.c` does the same,
compiled.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache, partial
from itertools import pairwise
from typing import TypeVar

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.geometry.compiled import kernel
from standmark.optimizer.search.problem import Rows

Part = TypeVar("Part")

NAME = "standmark.optimizer.search.search_kernel"
N_THREADS = 2
BLOCK_VALUES = 640_000  # 2.6 MB of float32: stays in the cache, and is long enough for the calls to cost little
ONE_THREAD_VALUES = 700_000  # less than this is done before a second thread has woken up
ONE_THREAD_COMPILED = 2_000_000  # the same for the compiled sums
FINE_VALUES = 50_000_000  # up to this many the level is taken off before summing, which is slower and more exact
RUN = 64
TILE = 64  # rows and columns of a product: 64 x 64 x 64 is the most that a matrix library does on one thread

# A float32 sum of n non-negative products, each factor rounded once and one subtraction before it, in any order,
# is within (n + 3) 2^-24 of the true sum, relatively (Higham, Accuracy and Stability of Numerical Algorithms,
# 2nd ed. 2002, section 4.2); the last 1% covers second-order terms and the sums in float64.
ROUNDING = 1.01 * (RUN + 3) * 2.0**-24


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
    shape (n,) or (n_rows,)
    """
    return gains_within(quality, level, weight, rows)[0]


def gains_within(quality: Singles, level: Singles, weight: Floats, rows: Rows | None = None) -> tuple[Floats, float]:
    """Return gains, see `gains`, and the most that any of them is off."""
    sets = (np.arange(len(quality)) if rows is None else rows)[:, None]
    known = _by_kernel(quality, level, weight, sets)
    if known is not None:
        return known

    def load(block: Singles, start: int, stop: int) -> None:
        if rows is None:
            np.maximum(quality[start:stop], level, out=block)
        else:
            np.take(quality, rows[start:stop], axis=0, out=block, mode="clip")
            np.maximum(block, level, out=block)

    return _summed(load, len(sets), level, weight)


def gains_of_sets(quality: Singles, level: Singles, weight: Floats, sets: Rows) -> tuple[Floats, float]:
    """Sum what each set of rows adds above a common level, the best row counting at every target.

    Parameters
    ----------
    quality : shape (n_rows, n_targets)
    level : shape (n_targets,)
    weight : shape (n_targets,), >= 0
    sets : shape (n_sets, n_members), row indices

    Returns
    -------
    shape (n_sets,), and the most that any of them is off
    """
    known = _by_kernel(quality, level, weight, sets)
    if known is not None:
        return known

    def load(block: Singles, start: int, stop: int) -> None:
        np.take(quality, sets[start:stop, 0], axis=0, out=block, mode="clip")
        np.maximum(block, level, out=block)
        for column in range(1, sets.shape[1]):
            np.maximum(block, quality[sets[start:stop, column]], out=block)

    return _summed(load, len(sets), level, weight)


def exact_gains(quality: Singles, level: Singles, weight: Floats, rows: Rows) -> Floats:
    """Return the same as `gains`, summed in float64 throughout; for few rows."""
    above = np.maximum(quality[rows], level) - level.astype(np.float64)
    sums: Floats = np.vecdot(above, weight)  # a matrix product would wake threads that go on spinning
    return sums


def level_worth(level: Singles, weight: Floats) -> float:
    """Sum what a level is worth, in float64."""
    return float(weight @ level.astype(np.float64))


def products(first: Singles, second: Singles) -> Singles:
    """Multiply one matrix with another, transposed, in tiles too small for the threads of a matrix library.

    These would go on spinning for a tenth of a second and slow down what comes next.

    Parameters
    ----------
    first, second : shape (n, k), (m, k)

    Returns
    -------
    shape (n, m)
    """
    total = np.zeros((len(first), len(second)), np.float32)
    for i in range(0, len(first), TILE):
        for j in range(0, len(second), TILE):
            tile = total[i : i + TILE, j : j + TILE]
            for k in range(0, first.shape[1], TILE):
                tile += first[i : i + TILE, k : k + TILE] @ second[j : j + TILE, k : k + TILE].T
    return total


def each(work: Callable[[Part], None], parts: Iterable[Part], *, is_large: bool) -> None:
    """Do some work on every part, on two threads where it is large."""
    for _done in _workers().map(work, parts) if is_large else map(work, parts):
        pass


def _by_kernel(quality: Singles, level: Singles, weight: Floats, sets: Rows) -> tuple[Floats, float] | None:
    """Sums and how far they are off by the compiled kernel; None where there is none."""
    compiled = kernel(NAME)
    if compiled is None or not quality.flags.c_contiguous or not sets.size or not level.size:
        return None
    level, single = np.ascontiguousarray(level), weight.astype(np.float32)
    sets, total = np.ascontiguousarray(sets, np.intp), np.empty(len(sets))

    def span(start: int, stop: int) -> None:
        compiled.gains(total[start:stop], quality, level, single, sets[start:stop])

    is_large = sets.size * level.size > ONE_THREAD_COMPILED
    ends = [0, len(sets) // 2, len(sets)] if is_large else [0, len(sets)]
    each(lambda part: span(*part), pairwise(ends), is_large=is_large)
    return total, _most_off(total)


def _most_off(total: Floats) -> float:
    return ROUNDING / (1 - ROUNDING) * float(total.max(initial=0.0))


def _summed(load: Callable[[Singles, int, int], None], n: int, level: Singles, weight: Floats) -> tuple[Floats, float]:
    total = np.empty(n)
    taken_off = level if n * level.size <= FINE_VALUES else None
    span = partial(_sum_span, load, taken_off, weight.astype(np.float32), total)
    n_parts = N_THREADS if n * level.size > ONE_THREAD_VALUES else 1
    ends = pairwise(np.linspace(0, n, n_parts + 1).astype(int).tolist())
    each(lambda part: span(*part), ends, is_large=n_parts > 1)
    error = _most_off(total)
    if taken_off is None:
        total -= level_worth(level, weight)
        np.maximum(total, 0.0, out=total)
    return total, error


def _sum_span(
    load: Callable[[Singles, int, int], None],
    taken_off: Singles | None,
    weight: Singles,
    total: Floats,
    start: int,
    stop: int,
) -> None:
    n_runs = weight.size // RUN
    in_runs = n_runs * RUN
    run_weight = weight[:in_runs].reshape(n_runs, RUN, 1)
    height = max(1, min(BLOCK_VALUES // max(weight.size, 1), stop - start))
    buffer = np.empty((height, weight.size), np.float32)
    for low in range(start, stop, height):
        high = min(low + height, stop)
        block = buffer[: high - low]
        load(block, low, high)
        if taken_off is not None:
            np.subtract(block, taken_off, out=block)
        runs = np.matmul(block[:, :in_runs].reshape(high - low, n_runs, RUN).transpose(1, 0, 2), run_weight)
        np.sum(runs[:, :, 0], axis=0, dtype=np.float64, out=total[low:high])
        total[low:high] += block[:, in_runs:] @ weight[in_runs:]


@lru_cache(maxsize=1)
def _workers() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(N_THREADS, thread_name_prefix="gains")
