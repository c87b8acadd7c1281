"""The rules of a match as the plain arrays that the search obeys, and as words.

A rule binds rows: areas have caps and opening periods, pairs of rows may lie across a line of action, moments have a
least coverage.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from standmark.geometry.apart import stand_apart
from standmark.geometry.arrays import Floats, Indices, Singles
from standmark.optimizer.choice.candidates import Candidates
from standmark.optimizer.choice.grid import StageTask
from standmark.optimizer.choice.line_clashes import line_clashes
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import Clashes, SearchProblem, clash
from standmark.optimizer.value.outfit import Rows
from standmark.sports.sport import Period


def stage_problem(
    match: Match,
    task: StageTask,
    *,
    candidates: Candidates,
    rows: Rows,
    quality: Singles,
    known: Clashes | None = None,
) -> SearchProblem:
    """Put one stage and every rule of the match into the form that the search takes.

    Parameters
    ----------
    quality : shape (n_rows, all targets of the stage side by side)
    known : of the same task on the first places of the candidates
    """
    n = len(rows.outfits)
    xy_m = np.tile(candidates.xyz_m[:, :2], (n, 1))
    is_fresh = None if known is None else np.tile(np.arange(rows.n_positions) >= len(known.mark) // n, n)
    return SearchProblem(
        quality=quality,
        weight=stage_weight(task),
        rows_by_camera=open_rows(match, task.periods, candidates, rows),
        xy_m=xy_m,
        separation_m=match.rules.separation_m if len(match.cameras) > 1 else 0.0,
        group=np.tile(candidates.area, n),
        group_cap=area_caps(match),
        clashes=None
        if match.rules.same_side != "forbid" or len(match.cameras) == 1
        else line_clashes(task.targets, xy_m=xy_m, quality=quality, is_fresh=is_fresh, known=known),
        floors=tuple((columns, share) for _, _, columns, share in floors(match, task)),
    )


def stage_weight(task: StageTask) -> Floats:
    """Weights of all targets of a stage, each period's by its length, shape (n_targets,)."""
    return np.concatenate([t.weight * share for t, share in zip(task.targets, task.shares, strict=True)])


def open_rows(match: Match, periods: tuple[Period, ...], candidates: Candidates, rows: Rows) -> tuple[Indices, ...]:
    """Rows that each camera may take in all of some periods; a place the user fixed counts as open."""
    closed = [
        index
        for index, area in enumerate(match.venue.allowed)
        if area.periods is not None and any(p.key not in area.periods for p in periods)
    ]
    is_open = ~np.isin(candidates.area, closed)
    return tuple(
        own if camera.fixed is not None else own[is_open[own % rows.n_positions]]
        for camera, own in zip(match.cameras, rows.by_camera, strict=True)
    )


def rows_beside(problem: SearchProblem, camera: int, others: Sequence[int]) -> Indices:
    """Rows that one camera may take beside rows that the other cameras have taken; least coverages are not asked.

    Parameters
    ----------
    camera : index
    others : rows of the other cameras
    """
    own = problem.rows_by_camera[camera]
    is_free = ~np.isin(own, others)
    for other in others:
        if problem.xy_m is not None and problem.separation_m > 0:
            is_free &= stand_apart(problem.xy_m[own], problem.xy_m[other], problem.separation_m)
        if problem.clashes is not None:
            is_free &= ~clash(problem.clashes, own, np.array([other]))
    if problem.group is not None and problem.group_cap is not None:
        used = np.bincount(problem.group[list(others)], minlength=problem.group_cap.size)
        is_free &= (used < problem.group_cap)[problem.group[own]]
    kept: Indices = own[is_free]
    return kept


def keeps_floors(problem: SearchProblem, best: Singles) -> bool:
    """Does a best quality for each target, shape (n_targets,), reach every least coverage."""
    for columns, share in problem.floors:
        weight = problem.weight[columns]
        if best[columns].astype(np.float64) @ weight < share * weight.sum() - 1e-9:
            return False
    return True


def area_caps(match: Match) -> Indices:
    """Most cameras in each allowed area; an area that says nothing takes all of them."""
    n = len(match.cameras)
    return np.array([n if a.max_cameras is None else a.max_cameras for a in match.venue.allowed], dtype=np.intp)


def floors(match: Match, task: StageTask) -> list[tuple[tuple[Period, ...], str, Indices, float]]:
    """Moments with a least coverage: periods, moment key, columns of the stage, share; where the moment occurs."""
    moments, first = [], 0
    for index, columns in enumerate(task.targets):
        for key, share in match.rules.must_cover.items():
            own = np.flatnonzero(columns.moment == columns.moment_keys.index(key))
            if len(own) and share > 0:
                moments.append((task.periods_of(index), key, own + first, share))
        first += len(columns.weight)
    return moments
