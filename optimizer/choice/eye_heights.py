"""Among heights nearly as good as the best, the one at a person's eye: easier to hold for a whole match."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from standmark.optimizer.choice.candidates import eye_heights_m
from standmark.optimizer.choice.rules import keeps_floors, rows_beside
from standmark.optimizer.choice.stage import Stage, other_rows
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import set_value

TOUCH_M = 1e-6


def with_eye_heights(match: Match, stages: Sequence[Stage]) -> list[Stage]:
    """Lower or raise each lens to the eye of whoever sits, kneels or stands there, where that costs next to nothing.

    All cameras of a stage together give up at most `rules.eye_height_give`; a camera that stays over an interval
    keeps its height.
    """
    eased = list(stages)
    for camera in range(len(match.cameras)):
        if match.cameras[camera].fixed is not None or any(camera in stage.held for stage in stages):
            continue
        for run in list(_runs(eased, camera)):
            best = _at_eye(match, [eased[i] for i in run], [stages[i].value for i in run], camera)
            for i, stage in zip(run, best, strict=True):
                eased[i] = stage
    return eased


def _runs(stages: Sequence[Stage], camera: int) -> Iterator[list[int]]:
    """Stages one after the other through which a camera keeps its place."""
    run = [0]
    for i in range(1, len(stages)):
        if stages[i].positions[camera] == stages[i - 1].positions[camera]:
            run.append(i)
        else:
            yield run
            run = [i]
    yield run


def _at_eye(match: Match, run: list[Stage], before: Sequence[float], camera: int) -> list[Stage]:
    """Stages of a run with one camera at the best eye height that costs little; as they are where there is none."""
    places, now = run[0].grid.candidates, run[0].positions[camera]
    area = match.venue.allowed[places.area[now]]
    eyes_m = eye_heights_m(area, match.cameras[camera])
    if not eyes_m or np.isclose(eyes_m, places.xyz_m[now, 2], atol=TOUCH_M).any():
        return run
    beside = np.flatnonzero((np.abs(places.xyz_m[:, :2] - places.xyz_m[now, :2]) < TOUCH_M).all(axis=1))
    at_eye = [p for p in beside if np.isclose(eyes_m, places.xyz_m[p, 2], atol=TOUCH_M).any()]
    options = [[_moved(stage, camera, int(p)) for stage in run] for p in at_eye]
    cheap = [
        [stage for stage in option if stage is not None]
        for option in options
        if all(
            stage is not None and value - stage.value <= match.rules.eye_height_give
            for stage, value in zip(option, before, strict=True)
        )
    ]
    return max(cheap, key=lambda option: sum(s.value * s.task.minutes for s in option), default=run)


def _moved(stage: Stage, camera: int, position: int) -> Stage | None:
    """Stage with one camera at another position with the same lens; None where it may not take it."""
    n = stage.grid.rows.n_positions
    row = stage.chosen[camera] // n * n + position
    chosen = tuple(row if i == camera else other for i, other in enumerate(stage.chosen))
    if row not in rows_beside(stage.problem, camera, other_rows(stage, camera)):
        return None
    if not keeps_floors(stage.problem, stage.problem.quality[list(chosen)].max(axis=0)):
        return None
    return replace(stage, chosen=chosen, value=set_value(stage.problem, chosen))
