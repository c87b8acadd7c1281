"""What other wishes for faces would choose: the best plan for none and for all, where it stands elsewhere.

A wish changes no more than one factor of the value, so what every row is worth under another wish follows from what
it is worth under this one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.arrays import Singles
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.advice.grid_people import GridPeople, rows_seen
from standmark.optimizer.advice.replan import replan
from standmark.optimizer.choice.fewest_moves import renamed
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import Match
from standmark.optimizer.value.people import LEAST_WORTH
from standmark.optimizer.work.assignment import Spot, spot_at

WISHES = (0.0, 1.0)
ELSEWHERE_M = 1.0  # nearer than that a camera stands at the same place
TASTE_WORK = 2.5e8  # figures that one wish takes at most, about half a second: a matter of taste may stay open


@dataclass(frozen=True)
class TasteSpot:
    """Where a camera would stand in a stage."""

    period: str  # key of the stage's first period
    camera: str
    spot: Spot
    lens: Lens


@dataclass(frozen=True)
class Taste:
    """The best plan under another wish for faces, where that stands elsewhere; shares are of the whole match."""

    wish: float
    seen: float
    faces: float
    coverage: float  # under that wish
    proven: bool
    spots: tuple[TasteSpot, ...]


def tastes(match: Match, stages: Sequence[Stage], people: Sequence[GridPeople]) -> tuple[Taste, ...]:
    """Plan again with no wish for faces and with nothing but, on the places of the plan; those that stand elsewhere.

    Parameters
    ----------
    people : for each picture of the grid
    """
    now = match.deliverable.faces
    left = [np.maximum(own.worth(now), LEAST_WORTH) for own in people]
    each = (_taste(match, stages, people, left, wish) for wish in WISHES if wish != now)
    return tuple(taste for taste in each if taste is not None)


def _taste(
    match: Match,
    stages: Sequence[Stage],
    people: Sequence[GridPeople],
    left: Sequence[Singles],
    wish: float,
) -> Taste | None:
    """Plan under one wish; None where no camera would stand elsewhere, or nobody knows.

    Parameters
    ----------
    left : for each picture of the grid, the share of the value that the present wish leaves, as `GridPeople.worth`
    """
    stages[0].memory.in_time()
    grid, pictures, now = stages[0].grid, [], match.deliverable.faces
    for picture, own, before in zip(grid.pictures, people, left, strict=True):
        quality = picture.quality.reshape(-1, *before.shape) * (own.worth(wish) / before)
        pictures.append(replace(picture, quality=quality.reshape(picture.quality.shape)))
    wished = replace(match, deliverable=replace(match.deliverable, faces=wish))
    plan = replan(wished, stages, grid=replace(grid, pictures=tuple(pictures)), most_work=TASTE_WORK)
    if plan is None:
        return None
    rows = [renamed(match, stage, stage.problem, own) for stage, own in zip(stages, plan.rows, strict=True)]
    if not any(_is_elsewhere(stage, own) for stage, own in zip(stages, rows, strict=True)):
        return None
    seen, faces = rows_seen(stages, rows, grid, people, wish=now)
    spots = tuple(s for stage, own in zip(stages, rows, strict=True) for s in _spots(match, stage, own))
    return Taste(wish, seen, faces, plan.coverage, plan.proven, spots)


def _is_elsewhere(stage: Stage, rows: Sequence[int]) -> bool:
    xyz_m, n = stage.grid.candidates.xyz_m, stage.grid.rows.n_positions
    apart_m = np.linalg.norm(xyz_m[[row % n for row in rows]] - xyz_m[list(stage.positions)], axis=1)
    return bool(apart_m.max() > ELSEWHERE_M)


def _spots(match: Match, stage: Stage, rows: Sequence[int]) -> list[TasteSpot]:
    at, n = stage.grid.candidates, stage.grid.rows.n_positions
    return [
        TasteSpot(
            stage.task.periods[0].key,
            camera.name,
            spot_at(at.area_keys[int(at.area[row % n])], *at.xyz_m[row % n]),
            stage.grid.rows.outfit(row).lens,
        )
        for camera, row in zip(match.cameras, rows, strict=True)
    ]
