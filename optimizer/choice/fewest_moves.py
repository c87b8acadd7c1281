"""Who is who from stage to stage: cameras alike swap names so that as few as can be walk, and they as little."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import permutations

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.search import SearchProblem


def with_fewest_moves(stages: Sequence[Stage]) -> list[Stage]:
    """Rename cameras with equal kits in each stage after the first; places and coverage stay the same."""
    kept = list(stages[:1])
    for stage in stages[1:]:
        before_m = kept[-1].grid.candidates.xyz_m[list(kept[-1].positions)]
        after_m = stage.grid.candidates.xyz_m[list(stage.positions)]
        order = fewest_moves(stage.problem, before_m, after_m)
        kept.append(replace(stage, chosen=tuple(stage.chosen[i] for i in order)))
    return kept


def fewest_moves(problem: SearchProblem, before_m: Floats, after_m: Floats) -> tuple[int, ...]:
    """Order in which cameras take places so that fewest move and they walk least; each may take its row.

    Parameters
    ----------
    before_m, after_m : shape (n, 3), place of each camera now and then

    Returns
    -------
    for each camera the index of its place in `after_m`
    """
    rows = problem.rows_by_camera
    alike = np.array([[np.array_equal(a, b) for b in rows] for a in rows])
    orders = (o for o in permutations(range(len(rows))) if all(alike[i, j] for i, j in enumerate(o)))
    return min(orders, key=lambda order: _walk(before_m, after_m[list(order)]))


def _walk(before_m: Floats, after_m: Floats) -> tuple[int, float]:
    """Cameras that move, and metres walked together."""
    away_m = np.linalg.norm(after_m - before_m, axis=1)
    return int((away_m > 0).sum()), float(away_m.sum())
