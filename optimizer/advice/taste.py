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
from standmark.optimizer.advice.grid_people import LEAST_WORTH, GridPeople, stage_pictures
from standmark.optimizer.advice.replan import replan
from standmark.optimizer.choice.fewest_moves import renamed
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import Spot, faces_share, spot_at
from standmark.sports.timeline import length_shares

WISHES = (0.0, 1.0)
ELSEWHERE_M = 1.0  # nearer than that a camera stands at the same place


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


def tastes(
    match: Match, stages: Sequence[Stage], people: Sequence[GridPeople], *, time_limit_s: float | None = None
) -> tuple[Taste, ...]:
    """Plan anew with no wish for faces and with nothing but, on the places of the plan; those that stand elsewhere.

    Parameters
    ----------
    people : for each picture of the grid
    """
    wishes = [wish for wish in WISHES if wish != match.deliverable.faces]
    found = (_taste(match, stages, people, wish, time_limit_s) for wish in wishes)
    return tuple(taste for taste in found if taste is not None)


def _taste(
    match: Match,
    stages: Sequence[Stage],
    people: Sequence[GridPeople],
    wish: float,
    time_limit_s: float | None,
) -> Taste | None:
    """Plan under one wish; None where no camera would stand elsewhere, or nobody knows."""
    grid, pictures, seen = stages[0].grid, [], []
    for picture, own in zip(grid.pictures, people, strict=True):
        n = len(grid.rows.outfits)
        is_seen = picture.quality / np.tile(np.maximum(own.worth(match.deliverable.faces), LEAST_WORTH), (n, 1))
        seen.append(is_seen)
        pictures.append(replace(picture, quality=is_seen * np.tile(own.worth(wish), (n, 1))))
    wished = replace(match, deliverable=replace(match.deliverable, faces=wish))
    plan = replan(wished, stages, grid=replace(grid, pictures=tuple(pictures)), time_limit_s=time_limit_s)
    if plan is None:
        return None
    rows = [renamed(match, stage, stage.problem, own) for stage, own in zip(stages, plan.rows, strict=True)]
    if not any(_is_elsewhere(stage, own) for stage, own in zip(stages, rows, strict=True)):
        return None
    each = [_seen_and_shown(stage, own, seen, people) for stage, own in zip(stages, rows, strict=True)]
    captured, shown = (length_shares(s.task for s in stages) @ np.array(each)).tolist()
    spots = tuple(s for stage, own in zip(stages, rows, strict=True) for s in _spots(match, stage, own))
    return Taste(wish, captured, faces_share(captured, shown), plan.coverage, plan.proven, spots)


def _is_elsewhere(stage: Stage, rows: Sequence[int]) -> bool:
    xyz_m, n = stage.grid.candidates.xyz_m, stage.grid.rows.n_positions
    apart_m = np.linalg.norm(xyz_m[[row % n for row in rows]] - xyz_m[list(stage.positions)], axis=1)
    return bool(apart_m.max() > ELSEWHERE_M)


def _seen_and_shown(
    stage: Stage, rows: Sequence[int], seen: Sequence[Singles], people: Sequence[GridPeople]
) -> tuple[float, float]:
    """Shares of a stage that some camera captures usably, and captures with faces."""
    positions = [row % stage.grid.rows.n_positions for row in rows]
    parts = []
    for targets, i in zip(stage.task.targets, stage_pictures(stage), strict=True):
        own = seen[i][list(rows)]
        shown = own * people[i].faces[positions]
        parts.append([float(targets.weight @ own.max(axis=0)), float(targets.weight @ shown.max(axis=0))])
    captured, faces = length_shares(stage.task.periods) @ np.array(parts)
    return float(captured), float(faces)


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
