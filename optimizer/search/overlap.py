"""How much of what two rows add is the same: it counts once in a set, and twice in the bound.

Above prices u a row adds a_s[t] = (q[s, t] - u[t])+ at a target. Put the rows of a set in any order; with m the most
that the rows before j add and p one of these, max(m, a_j) = m + a_j - min(m, a_j) <= m + a_j - min(a_p, a_j). So

    max over s in S of a_s <= sum over s in S of a_s - sum over the edges (p, j) of any tree on S of min(a_p, a_j),

target by target, and a set is worth no more than its bound less what the rows along a tree share. Sums of minima are
slow, but min(a, b) >= a b / c for every c >= max(a, b), and sums of products are one product of matrices.
"""

from __future__ import annotations

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.optimizer.search.kernel import each
from standmark.optimizer.search.problem import Rows

MOST_PRODUCTS = 100_000_000  # of the matrix product; beyond it only the targets that matter most take part
ONE_THREAD_PRODUCTS = 5_000_000  # less than this is done before a second thread has woken up
TILE = 64
SCORED_ROWS = 48  # rows that tell which targets matter


def shared_at_least(quality: Singles, price: Singles, weight: Floats, rows: Rows) -> Singles:
    """Bound from below what pairs of rows add in common: sum_t weight[t] * min(a_i[t], a_j[t]).

    Parameters
    ----------
    quality : shape (n_rows, n_targets)
    price : shape (n_targets,)
    weight : shape (n_targets,), >= 0
    rows : shape (n,), which rows

    Returns
    -------
    shape (n, n), symmetric
    """
    n_targets = max(1, MOST_PRODUCTS // max(rows.size, 1) ** 2)
    if n_targets >= weight.size:
        above = np.maximum(quality[rows], price)
    else:
        few = rows[:: -(-rows.size // SCORED_ROWS)]
        above = np.maximum(quality[few], price) - price
        score = weight * above.sum(axis=0) ** 2 / np.maximum(above.max(axis=0), 1e-9)
        targets = np.sort(score.argpartition(score.size - n_targets)[score.size - n_targets :])
        price, weight = price[targets], weight[targets]
        above = np.maximum(quality[rows[:, None], targets], price)
    above -= price
    most = above.max(axis=0)
    # factors of the product are off by five roundings each, a sum of n terms by n - 1: all are taken off
    scale = np.sqrt(np.divide(weight, most, out=np.zeros_like(weight), where=most > 0)).astype(np.float32)
    above *= scale
    shared = _products(above)
    shared *= np.float32(1 - 1.01 * (weight.size + 12) * 2.0**-24)
    return shared


def _products(above: Singles) -> Singles:
    """Multiply a matrix with itself, transposed, in tiles too small for the threads of a matrix library.

    These would go on spinning for a tenth of a second and slow down what comes next.
    """
    n_rows, n_targets = above.shape
    padded = np.zeros((n_rows, -(-n_targets // TILE) * TILE), np.float32)
    padded[:, :n_targets] = above
    runs = np.ascontiguousarray(padded.reshape(n_rows, -1, TILE).transpose(1, 0, 2))
    shared = np.empty((n_rows, n_rows), np.float32)

    def fill(start: int) -> None:
        own = runs[:, start : start + TILE]
        for other in range(0, start + TILE, TILE):
            tile = np.matmul(own, runs[:, other : other + TILE].transpose(0, 2, 1)).sum(axis=0)
            shared[start : start + TILE, other : other + TILE] = tile
            shared[other : other + TILE, start : start + TILE] = tile.T

    each(fill, range(0, n_rows, TILE), is_large=n_rows**2 * n_targets > ONE_THREAD_PRODUCTS)
    return shared


def most_shared_on_a_tree(shared: Singles, sets: Rows) -> Floats:
    """Sum what is shared along the tree on each set that shares most (Prim's rule, all sets at once).

    Parameters
    ----------
    shared : shape (n, n), symmetric
    sets : shape (n_sets, n_members), positions in `shared`
    """
    n_sets, n_members = sets.shape
    total = np.zeros(n_sets)
    if n_members < 2:
        return total
    every = np.arange(n_sets)
    link = shared[sets[:, :1], sets]
    link[:, 0] = -1
    for _ in range(n_members - 1):
        joined = link.argmax(axis=1)
        total += link[every, joined]
        is_out = link >= 0
        link = np.where(is_out, np.maximum(link, shared[sets[every, joined][:, None], sets]), -1)
        link[every, joined] = -1
    return total
