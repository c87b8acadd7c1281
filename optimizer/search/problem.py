"""The question put to the search and the answer it gives, as plain arrays."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.arrays import Flags, Floats, Singles
from standmark.optimizer.search.clash import Clashes

Status = Literal["optimal", "time limit", "infeasible"]  # "time limit": of time, or of work
Rows = NDArray[np.intp]  # indices of rows


@dataclass(frozen=True, eq=False)
class SearchProblem:
    """Choose one row for each camera so that the weighted best quality over all targets is largest.

    value(S) = sum_t weight[t] * max over s in S of quality[s, t].
    Cameras whose row arrays are the same object or equal are interchangeable; no row is used twice.
    Rows without a common period never clash: separation and caps hold within each period; clashes are as marked.
    """

    quality: Singles  # shape (n_rows, n_targets), in [0, 1]
    weight: Floats  # shape (n_targets,), >= 0
    rows_by_camera: tuple[Rows, ...]  # one array of allowed rows for each camera
    xy_m: Floats | None = None  # shape (n_rows, 2), for separation
    separation_m: float = 0.0
    group: Rows | None = None  # shape (n_rows,), area of each row
    group_cap: Rows | None = None  # most cameras in each group
    clashes: Clashes | None = None  # pairs of rows that no set holds together; rows of one place share their xy_m
    floors: tuple[tuple[Rows, float], ...] = ()  # (targets, least share of their weight covered)
    period_mask: Rows | None = None  # shape (n_rows,), bit p set: taken in period p; None: all in one


@dataclass(frozen=True, eq=False)
class Certificate:
    """Prices that bound the value of every set: sum_t w[t] u[t] - sum_c p[c] need[c] + sum of the dearest rows.

    w is the weight, plus p[c] times the weight on the targets of each floor c; need[c] is the floor's share of its
    weight; a row is worth sum_t w[t] max(quality[row, t] - u[t], 0).
    """

    target_price: Singles  # u, shape (n_targets,), in [0, 1]
    floor_price: Floats  # p, shape (n_floors,), >= 0


@dataclass(frozen=True, eq=False)
class Start:
    """An allowed set and prices that an earlier search of nearly the same problem came to."""

    rows: tuple[int, ...]  # one for each camera
    certificate: Certificate
    upper_bound: float = np.inf  # no allowed set without a fresh row is worth more
    is_fresh: Flags | None = None  # shape (n_rows,), rows that the earlier search had not; None: not known


@dataclass(frozen=True, eq=False)
class SearchResult:
    """The best set found and how good it is proven to be. Every field is always there."""

    status: Status
    rows: tuple[int, ...]  # one for each camera, () when infeasible
    value: float  # float64 re-sum of the chosen set; nan when infeasible
    upper_bound: float  # no allowed set is worth more; float64
    gap: float  # upper_bound - value
    n_nodes: int
    message: str
    certificate: Certificate  # bounds every allowed set; see `verify`
