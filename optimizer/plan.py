"""From a match to a plan: `plan(match)` is the one function to read first.

A period is a stretch between two changes of ends. Periods between which no camera may move share
one choice of places and form a stage. Each stage is searched exactly: every camera, place, height
and lens at once, first on a coarse grid, then with the grid refined round the best spots.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.errors import NoPlanError
from standmark.optimizer.assignment import PeriodPlan, Station, period_plan, spot_at
from standmark.optimizer.candidates import FINEST_M, SPACING_M, Candidates, match_candidates, refine_places
from standmark.optimizer.kit import Rows, match_rows
from standmark.optimizer.match import Match
from standmark.optimizer.quality import Surroundings, quality_matrix
from standmark.optimizer.search import SearchProblem, SearchResult, search
from standmark.optimizer.surroundings import period_surroundings
from standmark.optimizer.targets import Targets, period_targets, same_targets
from standmark.sports.sport import Period

Progress = Callable[[str], None]
SINGLE_ERROR = 2.0**-25  # the search keeps qualities of at most 1 in float32: the most that rounding takes off a sum


@dataclass(frozen=True)
class Plan:
    """The whole answer, with its proof. Coverage is a share, 0..1, weighted by the length of the periods."""

    match: Match
    periods: tuple[PeriodPlan, ...]
    coverage: float
    upper_bound: float  # no choice among the candidates covers more
    proven: bool
    message: str
    n_candidates: int


@dataclass(frozen=True, eq=False)
class Stage:
    """Consecutive periods that share one choice of places, with everything the search needs."""

    periods: tuple[Period, ...]
    targets: tuple[Targets, ...]  # one for each period
    around: tuple[Surroundings, ...]
    candidates: Candidates
    rows: Rows
    quality: NDArray[np.float32]  # the periods' targets side by side
    result: SearchResult


def plan(match: Match, *, time_limit_s: float | None = None, progress: Progress | None = None) -> Plan:
    """Find the best place, lens and focal range of every camera in every period, and prove it.

    Parameters
    ----------
    match : checked match
    time_limit_s : for the search of each stage; when it is hit, the plan says the remaining gap
    progress : called with one short line now and then

    Raises
    ------
    InputError : no place is left for a camera
    NoPlanError : the rules of the match leave no plan
    """
    say = progress or (lambda line: None)
    stages: list[Stage] = []
    planned: list[PeriodPlan] = []
    bound = 0.0
    total_min = sum(p.minutes for p in match.sport.periods)
    for periods in stage_periods(match):
        say(f"searching {', '.join(p.name for p in periods)}")
        stage = solve_stage(match, periods, solved=stages, time_limit_s=time_limit_s)
        stages.append(stage)
        share = sum(p.minutes for p in periods) / total_min
        stations = stage_stations(match, stage)
        planned += [
            period_plan(match, period, stations, targets=targets, around=around)
            for period, targets, around in zip(periods, stage.targets, stage.around, strict=True)
        ]
        bound += share * (stage.result.upper_bound + SINGLE_ERROR)
    results = [stage.result for stage in stages]
    coverage = total_coverage(planned)
    return Plan(
        match=match,
        periods=tuple(planned),
        coverage=coverage,
        upper_bound=max(bound, coverage),
        proven=all(r.status == "optimal" for r in results),
        message="; ".join(dict.fromkeys(r.message for r in results)),
        n_candidates=max(len(stage.candidates.xyz_m) for stage in stages),
    )


def total_coverage(periods: Sequence[PeriodPlan]) -> float:
    """Coverage of the whole match: that of its periods, weighted by their length."""
    minutes = np.array([p.period.minutes for p in periods])
    return float(minutes @ np.array([p.coverage for p in periods]) / minutes.sum())


def stage_periods(match: Match) -> list[tuple[Period, ...]]:
    """Group the periods of a match into stages: a new one wherever cameras may move and the rules let them."""
    stages: list[list[Period]] = [[]]
    for period in match.sport.periods:
        stages[-1].append(period)
        if period.may_move_after and match.rules.moves != "never":
            stages.append([])
    return [tuple(s) for s in stages if s]


def solve_stage(
    match: Match,
    periods: tuple[Period, ...],
    *,
    solved: Sequence[Stage] = (),
    time_limit_s: float | None = None,
) -> Stage:
    """Search one stage: coarse grid first, then finer grids round the best spots until FINEST_M.

    Parameters
    ----------
    solved : earlier stages; one with the very same targets, light, areas and lengths is not searched again
    """
    targets = tuple(period_targets(match, p) for p in periods)
    around = tuple(period_surroundings(match, p) for p in periods)
    for stage in solved:
        if _is_same_task(match, stage, periods, targets, around):
            return stage
    candidates = match_candidates(match)
    stage = _search_stage(match, periods, targets, around, candidates, known=None, time_limit_s=time_limit_s)
    step_m = SPACING_M / 2
    while step_m >= FINEST_M - 1e-9:
        finer = _refined(match, stage, step_m)
        if finer is not None:
            stage = _search_stage(match, periods, targets, around, finer, known=stage, time_limit_s=time_limit_s)
        step_m /= 2
    return stage


def _search_stage(
    match: Match,
    periods: tuple[Period, ...],
    targets: tuple[Targets, ...],
    around: tuple[Surroundings, ...],
    candidates: Candidates,
    *,
    known: Stage | None,
    time_limit_s: float | None,
) -> Stage:
    rows = match_rows(match, candidates)
    quality = _stage_quality(match, targets, around, candidates, rows, known)
    minutes = np.array([p.minutes for p in periods])
    weight = np.concatenate([t.weight * m for t, m in zip(targets, minutes / minutes.sum(), strict=True)])
    problem = SearchProblem(
        quality=quality,
        weight=weight,
        rows_by_camera=rows.by_camera,
        xy_m=np.tile(candidates.xyz_m[:, :2], (len(rows.outfits), 1)),
        separation_m=match.rules.separation_m if len(match.cameras) > 1 else 0.0,
    )
    result = search(problem, time_limit_s=time_limit_s)
    if not result.rows:
        raise NoPlanError(f"rules: {result.message}")
    return Stage(periods, targets, around, candidates, rows, quality, result)


def _stage_quality(
    match: Match,
    targets: tuple[Targets, ...],
    around: tuple[Surroundings, ...],
    candidates: Candidates,
    rows: Rows,
    known: Stage | None,
) -> NDArray[np.float32]:
    """Quality of all rows; what an earlier, coarser stage knows of the first positions is kept."""
    n_known = 0 if known is None else len(known.candidates.xyz_m)
    fresh = candidates.xyz_m[n_known:]
    parts = [
        quality_matrix(fresh, t, rows=rows, deliverable=match.deliverable, around=a)
        for t, a in zip(targets, around, strict=True)
    ]
    new = np.hstack(parts).reshape(len(rows.outfits), len(fresh), -1)
    if known is None:
        return new.reshape(-1, new.shape[2])
    old = known.quality.reshape(len(rows.outfits), n_known, -1)
    return np.concatenate([old, new], axis=1).reshape(-1, new.shape[2])


def _refined(match: Match, stage: Stage, step_m: float) -> Candidates | None:
    """Add the neighbours of every chosen spot that are not candidates yet."""
    old = stage.candidates
    known = {tuple(p) for p in old.xyz_m.round(6)}
    fresh, owners = [], []
    for camera, row in zip(match.cameras, stage.result.rows, strict=True):
        position = stage.rows.position(row)
        if camera.fixed is not None:
            continue
        area = int(old.area[position])
        near = refine_places(match, old.xyz_m[position], match.venue.allowed[area], camera, step_m=step_m)
        for xyz in near:
            if tuple(xyz.round(6)) not in known:
                known.add(tuple(xyz.round(6)))
                fresh.append(xyz)
                owners.append(area)
    if not fresh:
        return None
    return Candidates(
        np.vstack([old.xyz_m, fresh]), np.concatenate([old.area, np.array(owners, dtype=np.intp)]), old.area_keys
    )


def stage_stations(match: Match, stage: Stage) -> tuple[Station, ...]:
    """Spots and lenses that the search has chosen, one for each camera."""
    places, rows = stage.candidates, stage.rows
    return tuple(
        Station(camera, rows.outfit(row), spot_at(places.area_keys[int(places.area[at])], *places.xyz_m[at]))
        for camera, row in zip(match.cameras, stage.result.rows, strict=True)
        for at in [rows.position(row)]
    )


def _is_same_task(
    match: Match,
    stage: Stage,
    periods: tuple[Period, ...],
    targets: tuple[Targets, ...],
    around: tuple[Surroundings, ...],
) -> bool:
    return (
        len(stage.periods) == len(periods)
        and all(a.minutes == b.minutes for a, b in zip(stage.periods, periods, strict=True))
        and all(area.periods is None for area in match.venue.allowed)
        and stage.around == around
        and all(same_targets(a, b) for a, b in zip(stage.targets, targets, strict=True))
    )
