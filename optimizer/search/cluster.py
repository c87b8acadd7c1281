"""Clusters of like rows: which rows a node of the search parts from the others."""

from __future__ import annotations

import numpy as np

from standmark.geometry.arrays import Flags, Floats, Singles
from standmark.optimizer.search.model import Model

SKETCH_COLUMNS = 256  # targets that stand for all when likeness of rows is measured
PIVOTS = 12  # rows round which a cluster is tried
APART_POWER = 1.5  # how much more it counts that far picks are far than that both sides have many; found by trial
REACH = 0.6  # where a cluster ends, as a share of the way from its last near pick to the first far one; found by trial
SELDOM = 0.005  # rows picked less often than this are not looked at first by the children


def sketch_of(model: Model) -> Singles:
    """A few columns of the quality, weighted: rows that are alike here see nearly the same."""
    columns = np.unique(np.linspace(0, model.weight.size - 1, SKETCH_COLUMNS).astype(np.intp))
    scaled: Singles = model.quality[:, columns] * model.weight[columns].astype(np.float32)
    return scaled


def cut(sketch: Singles, frequency: Floats, rho: Floats, count: int) -> tuple[float, Flags]:
    """Cluster of like rows, picked now and then, that parts the picks of one camera best.

    Round each of the rows picked most often, the picks that make up one camera are split into near and far ones; the
    best split has much on both sides and the far ones far. The cluster ends between the two.

    Returns
    -------
    how good the split is (below 0: nothing to split); which rows are in the cluster
    """
    inside = np.zeros(frequency.size, dtype=np.bool_)
    if frequency.size < 2:
        return -1.0, inside
    picked = np.flatnonzero(frequency > SELDOM)
    pivots = picked[np.argsort(-frequency[picked], kind="stable")[:PIVOTS]]
    splits = [_best_split(sketch[picked], sketch[pivot], frequency[picked], count) for pivot in pivots]
    worth, radius, pivot = max(
        ((worth, radius, int(pivot)) for (worth, radius), pivot in zip(splits, pivots, strict=True)),
        default=(-1.0, 0.0, int(rho.argmax())),
    )
    unlike = np.abs(sketch - sketch[pivot]).sum(axis=1)
    unlike[pivot] = -1.0
    inside = unlike <= radius
    if worth <= 0 or 5 * int(inside.sum()) > 3 * frequency.size:
        inside[:] = False
        inside[np.argsort(unlike, kind="stable")[: (frequency.size + 1) // 2]] = True
        return 0.0, inside
    return worth, inside


def _best_split(sketch: Singles, pivot: Singles, frequency: Floats, count: int) -> tuple[float, float]:
    """Worth of the best split of one camera's picks round a pivot, and the distance up to which they are near."""
    unlike = np.abs(sketch - pivot).sum(axis=1).astype(np.float64)
    order = np.argsort(unlike, kind="stable")
    unlike, frequency = unlike[order], frequency[order]
    held = np.cumsum(frequency)
    whole = float(held[-1]) if count == 1 else min(float(held[-1]), 1.0)
    own = np.minimum(frequency, np.maximum(whole - (held - frequency), 0.0))
    near = np.cumsum(own)
    reach = np.cumsum(own * unlike)
    far = np.maximum(whole - near, 1e-12)
    apart = (reach[-1] - reach) / far - reach / near
    balance = np.minimum(near, far)
    worth = np.where(near < whole * (1 - 1e-9), balance * np.maximum(apart, 0.0) ** APART_POWER, -1.0)
    best = int(worth.argmax())
    beyond = unlike[min(best + 1, unlike.size - 1)]
    return float(worth[best]), float(unlike[best] + REACH * (beyond - unlike[best]))
