"""The exact search over each stage of a match: coarse grid first, then quarter-metre spots round the best places."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.geometry.errors import NoPlanError
from standmark.optimizer.choice.budget import Asked, places_within
from standmark.optimizer.choice.candidates import SPACING_M, Candidates, eye_heights_m, match_candidates
from standmark.optimizer.choice.clash import clash_words
from standmark.optimizer.choice.grid import Grid, StageTask, match_tasks, quality_grid, task_quality
from standmark.optimizer.choice.memory import Memory, OutOfTimeError
from standmark.optimizer.choice.refine import basins, climb
from standmark.optimizer.choice.rules import stage_problem
from standmark.optimizer.choice.stage import (
    ROUGH,
    Stage,
    is_same_question,
    other_rows,
    place_worths,
    proof_tolerance,
    twin_of,
    worth_beside,
)
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import Start, search
from standmark.optimizer.value.outfit import camera_outfits

Progress = Callable[[str], None]
# periods, camera, rows of the others -> what the places of the grid are worth; with a start -> the spot climbed to
Climbs = dict[tuple[object, ...], Floats]
QUIET_S = 0.5  # least time between two lines of progress
# Where rows clash, a rough proof for up to so many cameras takes as long as a close one, which need not be repeated
FEW_CLASHING = 3
MOST_ROUNDS = 6  # of climbing and searching again


def solve_stages(
    match: Match,
    *,
    also: Callable[[Candidates], Candidates] = lambda candidates: candidates,
    time_limit_s: float | None = None,
    progress: Progress | None = None,
    memory: Memory | None = None,
) -> list[Stage]:
    """Search every stage of a match, until no camera gains by moving a quarter of a metre.

    Parameters
    ----------
    also : adds places to those that are tried
    time_limit_s : for all searches together; when it is hit, results say the remaining gap
    progress : called with one short line now and then
    memory : what earlier plans worked out; None: nothing

    Raises
    ------
    InputError : no place is left for a camera, or the values of too few places would fit the memory of a plan
    Stopped : the memory's `stopped` said so
    NoPlanError : the rules of the match leave no plan, or none was found in the time given
    """
    deadline = np.inf if time_limit_s is None else time.monotonic() + time_limit_s
    tasks = match_tasks(match)
    most = places_within(match, Asked(range(len(match.cameras)), tasks), time_limit_s)
    candidates = also(match_candidates(match, most_places=most))
    memory = Memory() if memory is None else memory
    grid = quality_grid(match, tasks, candidates, memory=memory)
    is_coarse = candidates.spacing_m > SPACING_M
    coarse = f"so much ground is allowed that places were tried {candidates.spacing_m:.0f} m apart" if is_coarse else ""

    def searched(tolerance: float, before: Sequence[Stage]) -> list[Stage]:
        return _search_all(
            match, tasks, grid, memory, before=before, tolerance=tolerance, deadline=deadline, progress=progress
        )

    last = proof_tolerance(len(match.cameras))
    tolerance = last if match.rules.same_side == "forbid" and len(match.cameras) <= FEW_CLASHING else ROUGH
    climbs: Climbs = {}
    stages = searched(tolerance, ())
    for n_left in range(MOST_ROUNDS, 0, -1):
        try:
            finer, is_cut = _finer(match, stages, climbs) if n_left > 1 else None, False
        except OutOfTimeError:
            finer, is_cut = None, True
        if finer is None and tolerance == last and not is_cut:
            break
        if is_cut or time.monotonic() > deadline:
            caveat = "the time limit left finer spots near them untried" if is_cut or finer is not None else ""
            return [replace(s, caveat="; ".join(filter(None, (caveat, coarse)))) for s in stages]
        if finer is None:
            tolerance = last
        else:
            grid = quality_grid(match, tasks, finer, known=grid, memory=memory)
        stages = searched(tolerance, stages)
    return [replace(s, caveat=coarse) for s in stages] if coarse else stages


def _search_all(
    match: Match,
    tasks: Sequence[StageTask],
    grid: Grid,
    memory: Memory,
    *,
    before: Sequence[Stage],
    tolerance: float,
    deadline: float,
    progress: Progress | None,
) -> list[Stage]:
    """Search every stage, from where the one before, on the first places of the grid, came to."""
    stages: list[Stage] = []
    for index, task in enumerate(tasks):
        known = next((s for s in stages if is_same_question(match, s.task, task)), None)
        if known is not None:
            stages.append(replace(known, task=task))
            continue
        left_s = (deadline - time.monotonic()) / (len(tasks) - index)
        limit_s = None if np.isinf(deadline) else max(left_s, 0.01)
        last = before[index] if before else None
        stages.append(
            _search_stage(
                match, task, grid, memory, before=last, tolerance=tolerance, limit_s=limit_s, progress=progress
            )
        )
    return stages


def _start(before: Stage, grid: Grid, tolerance: float) -> Start:
    """What a stage came to, its rows numbered as in a grid of more places.

    After a rough search the places before are searched again with the fresh ones: its best need not be theirs.
    """
    old, n = before.grid.rows.n_positions, grid.rows.n_positions
    rows = tuple(row // old * n + row % old for row in before.result.rows)
    is_fresh = np.arange(n * len(grid.rows.outfits)) % n >= old
    return Start(rows, before.result.certificate, before.result.upper_bound, None if tolerance == ROUGH else is_fresh)


def _search_stage(
    match: Match,
    task: StageTask,
    grid: Grid,
    memory: Memory,
    *,
    before: Stage | None,
    tolerance: float,
    limit_s: float | None,
    progress: Progress | None,
) -> Stage:
    problem = stage_problem(
        match,
        task,
        candidates=grid.candidates,
        rows=grid.rows,
        quality=task_quality(grid, task),
        known=None if before is None else before.problem.clashes,
    )
    start = None if before is None else _start(before, grid, tolerance)
    deadline = np.inf if limit_s is None else time.monotonic() + limit_s
    tell = _teller(progress, task.name, memory)
    result = search(problem, tolerance=tolerance, time_limit_s=limit_s, on_progress=tell, start=start)
    if not result.rows and result.status == "time limit":
        raise NoPlanError(f"{task.name}: no plan found in the time given; allow more with --time-limit")
    if not result.rows:
        left_s = None if limit_s is None else deadline - time.monotonic()
        raise NoPlanError(clash_words(match, task, problem, rows=grid.rows, time_limit_s=left_s))
    return Stage(task, grid, problem, result, result.rows, result.value, memory)


def _teller(progress: Progress | None, name: str, memory: Memory) -> Callable[[float, float, int], None]:
    """Turn the search's figures into a line now and then, and stop the search where that is asked for."""
    last_s = -np.inf

    def tell(value: float, bound: float, n_nodes: int) -> None:
        nonlocal last_s
        memory.checkpoint()
        if progress is None or time.monotonic() - last_s < QUIET_S or not np.isfinite(bound):
            return
        last_s = time.monotonic()
        progress_text = f"covers {100 * value:.1f} %, at most {100 * bound:.1f} %" if np.isfinite(value) else "looking"
        progress(f"searching {name}: {progress_text}")

    return tell


def _finer(match: Match, stages: Sequence[Stage], climbs: Climbs) -> Candidates | None:
    """Add the spots to which each camera climbs, the others kept; None when none is new.

    Parameters
    ----------
    climbs : of earlier rounds, and of this one
    """
    old = stages[0].grid.candidates
    known = set(map(tuple, old.xyz_m.tolist()))
    fresh, areas = [], []
    for index, stage in enumerate(stages):
        if twin_of(stage, stages[:index]) is not None:
            continue
        for camera in range(len(match.cameras)):
            for spot, area in _climbed(match, stage, camera, climbs):
                if tuple(spot) not in known:
                    known.add(tuple(spot))
                    fresh.append(spot)
                    areas.append(area)
    if not fresh:
        return None
    return Candidates(
        np.vstack([old.xyz_m, fresh]), np.concatenate([old.area, np.array(areas, dtype=np.intp)]), old.area_keys
    )


def _climbed(match: Match, stage: Stage, index: int, known: Climbs) -> list[tuple[Floats, int]]:
    """Best spots near the best places of one camera, each with its area, and the same places at a person's eye."""
    camera, places = match.cameras[index], stage.grid.candidates
    if camera.fixed is not None:
        return []
    worth = worth_beside(match, stage, index, camera_outfits(match, camera))
    others = tuple(
        (*places.xyz_m[row % stage.grid.rows.n_positions].tolist(), row // stage.grid.rows.n_positions)
        for row in other_rows(stage, index)
    )
    beside = stage.task.periods, index, others
    before = known.get(beside, np.empty(0))
    known[beside] = place_worths(stage, index, first=len(before))
    known[beside][: len(before)] = before
    climbs: list[tuple[Floats, int]] = []
    for start in basins(places.xyz_m, known[beside]):
        at = int(places.area[start])
        area = match.venue.allowed[at]
        asked = *beside, tuple(places.xyz_m[start].tolist())
        if asked not in known:
            known[asked] = climb(match, places.xyz_m[start], area, camera, worth=worth)
        spot = known[asked]
        climbs.append((spot, at))
        climbs += [(np.array([*spot[:2], eye]), at) for eye in eye_heights_m(area, camera)]
    return climbs
