"""Who is who from stage to stage: cameras alike swap names so that as few as can be walk, and they as little."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from standmark.optimizer.match import Match
from standmark.optimizer.search import SearchProblem
from standmark.optimizer.stage import Stage


def with_fewest_moves(match: Match, stages: list[Stage]) -> list[Stage]:
    """Rename cameras with equal kits in each stage after the first; places and coverage stay the same."""
    kept = stages[:1]
    for stage in stages[1:]:
        before = kept[-1].grid.candidates.xyz_m[list(kept[-1].positions)]
        order = min(_orders(match, stage.problem), key=lambda o: _walk(before, stage, o))
        kept.append(replace(stage, chosen=tuple(stage.chosen[i] for i in order)))
    return kept


def _orders(match: Match, problem: SearchProblem) -> list[tuple[int, ...]]:
    """Orders of the chosen rows in which every camera gets a row that it may take; as searched first."""
    rows = problem.rows_by_camera
    alike = np.array([[np.array_equal(a, b) for b in rows] for a in rows])
    return [o for o in permutations(range(len(match.cameras))) if all(alike[i, j] for i, j in enumerate(o))]


def _walk(before: NDArray[np.float64], stage: Stage, order: tuple[int, ...]) -> tuple[int, float]:
    """Cameras that move, and metres walked together."""
    after = stage.grid.candidates.xyz_m[[stage.positions[i] for i in order]]
    away_m = np.linalg.norm(after - before, axis=1)
    return int((away_m > 0).sum()), float(away_m.sum())
