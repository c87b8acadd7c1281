"""At each interval: is walking to another place worth it, and for whom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import search
from standmark.optimizer.work.walk import Walk, walk_between


@dataclass(frozen=True)
class Move:
    """One camera in one interval."""

    camera: str
    walk: Walk  # from place to place; of no length when it stays
    gain: float | None  # coverage of the later stage lost if this camera alone stayed; None: it cannot stay there


@dataclass(frozen=True)
class Interval:
    """What moving in one interval is worth to the stage after it."""

    before: str  # keys of the period that ends and of the one that starts
    after: str
    moves: tuple[Move, ...]
    gain: float | None  # coverage of the later stage lost if every camera stayed; None: they cannot all stay


def stay_or_move(match: Match, stages: Sequence[Stage]) -> tuple[Interval, ...]:
    """Weigh every interval in which cameras may move."""
    return tuple(_interval(match, first, second) for first, second in pairwise(stages))


def _interval(match: Match, first: Stage, second: Stage) -> Interval:
    xyz_m = second.grid.candidates.xyz_m
    everyone = range(len(match.cameras))
    moves = tuple(
        Move(
            camera.name,
            walk_between(match, *(tuple(xyz_m[s.positions[i], :2].tolist()) for s in (first, second))),
            _loss(second, {i: first.positions[i]}),
        )
        for i, camera in enumerate(match.cameras)
    )
    gain = _loss(second, {i: first.positions[i] for i in everyone})
    return Interval(first.task.periods[-1].key, second.task.periods[0].key, moves, gain)


def _loss(stage: Stage, stays: dict[int, int]) -> float | None:
    """Coverage lost when some cameras keep given positions and the others theirs, each with its best lens."""
    n = stage.grid.rows.n_positions
    at = {i: stays.get(i, p) for i, p in enumerate(stage.positions)}
    rows_by_camera = tuple(rows[rows % n == at[i]] for i, rows in enumerate(stage.problem.rows_by_camera))
    if not all(len(rows) for rows in rows_by_camera):
        return None
    result = search(replace(stage.problem, rows_by_camera=rows_by_camera))
    return max(stage.value - result.value, 0.0) if result.rows else None
