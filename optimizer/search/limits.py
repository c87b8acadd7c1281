"""Which rows and sets the limits allow: no row twice, separation, caps, clashes, floors."""

from __future__ import annotations

import numpy as np

from standmark.geometry.apart import stand_apart
from standmark.geometry.arrays import Flags
from standmark.optimizer.search.clash import clash, clash_with_all
from standmark.optimizer.search.model import Model
from standmark.optimizer.search.problem import Rows


def compatible_rows(model: Model, row: int, caps: tuple[int, ...], rows: Rows) -> Rows:
    """Rows that may stand beside a chosen row; `caps` are those left after it."""
    allowed: Flags = rows != row
    if model.xy_m is not None:
        allowed &= _apart(model, np.array([row]), rows)
    if model.clashes is not None:
        allowed &= ~clash(model.clashes, rows, np.array([row]))
    kept: Rows = within_caps(model, caps, rows[allowed])
    return kept


def within_caps(model: Model, caps: tuple[int, ...], rows: Rows) -> Rows:
    """Rows of which one more may be taken."""
    if len(caps) == 1 or min(caps[1:]) > 0:
        return rows
    kept: Rows = rows[(np.array([1, *caps[1:]])[model.groups[rows]] > 0).all(axis=1)]
    return kept


def caps_after(model: Model, row: int, caps: tuple[int, ...]) -> tuple[int, ...]:
    """Most rows of each group that may still be taken once a row is chosen."""
    left = list(caps)
    for group in model.groups[row]:
        left[group] -= group > 0
    return tuple(left)


def clear_of_cluster(model: Model, cluster: Rows, rows: Rows) -> Rows:
    """Rows that may stand beside some row of a cluster; what a circle round it and its clashes tell is left out."""
    if model.clashes is not None:
        rows = rows[~clash_with_all(model.clashes, cluster, rows)]
    if model.xy_m is None:
        return rows
    middle = model.xy_m[cluster].mean(axis=0)
    radius = np.hypot(*(model.xy_m[cluster] - middle).T).max()
    is_near = np.hypot(*(model.xy_m[rows] - middle).T) < model.separation_m - radius - 1e-9
    always = model.present[cluster].all(axis=0)
    kept: Rows = rows[~(is_near & model.present[rows][:, always].any(axis=1))]
    return kept


def allowed_sets(model: Model, sets: Rows, caps: tuple[int, ...]) -> Flags:
    """Which sets hold no row twice, stand apart, do not clash and keep the caps.

    Parameters
    ----------
    sets : shape (n_sets, n_members), row indices
    caps : most rows of each group
    """
    allowed: Flags = np.ones(len(sets), dtype=np.bool_)
    n_members = sets.shape[1]
    for a in range(n_members):
        for b in range(a + 1, n_members):
            allowed &= sets[:, a] != sets[:, b]
            if model.xy_m is not None:
                allowed &= _apart(model, sets[:, a], sets[:, b])
            if model.clashes is not None:
                allowed &= ~clash(model.clashes, sets[:, a], sets[:, b])
    for group, cap in enumerate(caps[1:], start=1):
        allowed &= (model.groups[sets] == group).sum(axis=(1, 2)) <= cap
    return allowed


def floors_met(model: Model, sets: Rows) -> Flags:
    """Which sets cover every floor, summed in float64; for few sets."""
    met: Flags = np.ones(len(sets), dtype=np.bool_)
    if len(model.floor_need):
        for index, members in enumerate(sets):
            covered = model.floor_weight @ model.quality[members].max(axis=0).astype(np.float64)
            met[index] = (covered >= model.floor_need).all()
    return met


def _apart(model: Model, rows: Rows, others: Rows) -> Flags:
    """Whether rows and others stand apart, one by one, or never at the same time."""
    assert model.xy_m is not None
    apart = stand_apart(model.xy_m[rows], model.xy_m[others], model.separation_m)
    if model.present.shape[1] > 1:
        apart |= ~(model.present[rows] & model.present[others]).any(axis=1)
    return apart
