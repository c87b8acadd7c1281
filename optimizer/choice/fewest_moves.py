"""Who is who from stage to stage: cameras alike swap names so that as few as can be walk, and they as little."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import permutations

import numpy as np

from standmark.geometry.arrays import Floats, Indices
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import SearchProblem
from standmark.optimizer.work.walk import walk_between

MOST_TRIED = 5  # cameras whose every order is tried
FAR_M = 1e5  # longer than any walk


def with_fewest_moves(match: Match, stages: Sequence[Stage]) -> list[Stage]:
    """Rename cameras with equal kits in each stage after the first; places and coverage stay the same."""
    kept = list(stages[:1])
    for stage in stages[1:]:
        before_m = kept[-1].grid.candidates.xyz_m[list(kept[-1].positions)]
        after_m = stage.grid.candidates.xyz_m[list(stage.positions)]
        held = {*stage.held, *kept[-1].held}  # who is who is settled for these
        rows = [np.array([stage.chosen[i]]) if i in held else own for i, own in enumerate(stage.problem.rows_by_camera)]
        order = fewest_moves(match, rows, before_m, after_m)
        kept.append(replace(stage, chosen=tuple(stage.chosen[i] for i in order)))
    return kept


def renamed(match: Match, stage: Stage, problem: SearchProblem, rows: Sequence[int]) -> list[int]:
    """Rows in an order that has as few cameras as can be leave their place in a stage."""
    xyz_m, n = stage.grid.candidates.xyz_m, stage.grid.rows.n_positions
    order = fewest_moves(match, problem.rows_by_camera, xyz_m[list(stage.positions)], xyz_m[[row % n for row in rows]])
    return [rows[i] for i in order]


def fewest_moves(match: Match, rows: Sequence[Indices], before_m: Floats, after_m: Floats) -> tuple[int, ...]:
    """Order in which cameras take places so that fewest move and they walk least; each may take its row.

    Parameters
    ----------
    rows : that each camera may take
    before_m, after_m : shape (n, 3), place of each camera now and then

    Returns
    -------
    for each camera the index of its place in `after_m`
    """
    alike = np.array([[np.array_equal(a, b) for b in rows] for a in rows])
    is_move = np.array([[bool((a != b).any()) for b in after_m] for a in before_m])
    if not is_move.diagonal().any() or not alike[~np.eye(len(rows), dtype=bool)].any():
        return tuple(range(len(rows)))
    every = list(range(len(rows)))
    pairs = [(i, j) for i in every for j in every]
    orders = None
    if len(rows) <= MOST_TRIED:
        orders = [order for order in permutations(every) if all(alike[i, j] for i, j in enumerate(order))]
        n_moves = [int(is_move[every, order].sum()) for order in orders]
        orders = [order for order, n in zip(orders, n_moves, strict=True) if n == min(n_moves)]
        if len(orders) == 1:
            return orders[0]
        pairs = sorted({pair for order in orders for pair in enumerate(order)})
    walk_m = np.zeros((len(rows), len(rows)))
    for i, j in pairs:
        walk_m[i, j] = walk_between(match, _place(before_m[i]), _place(after_m[j])).length_m
    if orders is None:
        return _least_cost(np.where(alike, FAR_M * is_move + walk_m, FAR_M**2))
    return min(orders, key=lambda order: float(walk_m[every, order].sum()))


def _least_cost(cost: Floats) -> tuple[int, ...]:
    """For each camera the place it takes, so that the sum of costs is least."""
    from scipy.optimize import linear_sum_assignment  # heavy, and for many cameras only

    return tuple(int(place) for place in linear_sum_assignment(cost)[1])


def _place(xyz_m: Floats) -> tuple[float, float]:
    return float(xyz_m[0]), float(xyz_m[1])
