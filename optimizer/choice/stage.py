"""The exact search over each stage of a match: coarse grid first, then quarter-metre spots round the best places."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.apart import stand_apart
from standmark.geometry.arrays import Floats, Singles
from standmark.geometry.errors import NoPlanError
from standmark.optimizer.choice.budget import Asked, places_within
from standmark.optimizer.choice.candidates import SPACING_M, Candidates, eye_heights_m, match_candidates
from standmark.optimizer.choice.clash import clash_words
from standmark.optimizer.choice.grid import Grid, StageTask, known_quality, match_tasks, quality_grid, task_quality
from standmark.optimizer.choice.line_clashes import clash_beside
from standmark.optimizer.choice.memory import Memory, OutOfTimeError
from standmark.optimizer.choice.refine import Worth, basins, climb
from standmark.optimizer.choice.rules import rows_beside, stage_problem
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import SearchProblem, SearchResult, search
from standmark.optimizer.search.kernel import gains
from standmark.optimizer.value.outfit import Outfit, camera_outfits
from standmark.optimizer.value.targets import same_targets
from standmark.optimizer.work.assignment import Station, spot_at

Progress = Callable[[str], None]
QUIET_S = 0.5  # least time between two lines of progress
ROUGH = 1e-2  # share of the value that a search may miss while spots are still climbed to
EXACT = 1e-6  # the same for the result, with up to FEW cameras
FEW = 4
WITHIN = 2e-3  # the same with more cameras: a closer proof would take minutes
MOST_ROUNDS = 6  # of climbing and searching again


@dataclass(frozen=True, eq=False)
class Stage:
    """A task, the grid it was searched on, and the best choice."""

    task: StageTask
    grid: Grid
    problem: SearchProblem
    result: SearchResult  # the proven best
    chosen: tuple[int, ...]  # row of each camera: the best, or one nearly as good that has something else for it
    value: float  # of the chosen rows
    memory: Memory
    held: tuple[int, ...] = ()  # cameras kept where they stood in an earlier plan
    caveat: str = ""  # what was left undone or unproven of the choice itself

    @property
    def is_proven(self) -> bool:
        """Is the result as near the best as the search was asked to come."""
        within = proof_tolerance(len(self.chosen))
        return self.result.status == "optimal" and self.result.gap <= 2 * within * self.result.value

    @property
    def message(self) -> str:
        """How far the choice is proven, in words; a search that had no time to be exact is not called proven."""
        share = self.result.gap / self.result.value if self.result.value > 0 else 0.0
        stopped = f"stopped by the time limit at most {share:.3%} below the best of the places tried"
        return "; ".join(filter(None, (self.result.message if self.is_proven else stopped, self.caveat)))

    @property
    def positions(self) -> tuple[int, ...]:
        """Chosen position of each camera."""
        return tuple(self.grid.rows.position(row) for row in self.chosen)


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

    def searched(tolerance: float) -> list[Stage]:
        return _search_all(match, tasks, grid, memory, tolerance=tolerance, deadline=deadline, progress=progress)

    tolerance, last = ROUGH, proof_tolerance(len(match.cameras))
    stages = searched(tolerance)
    for n_left in range(MOST_ROUNDS, 0, -1):
        try:
            finer, is_cut = _finer(match, stages) if n_left > 1 else None, False
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
        stages = searched(tolerance)
    return [replace(s, caveat=coarse) for s in stages] if coarse else stages


def proof_tolerance(n_cameras: int) -> float:
    """Share of its value by which a result may fall short of the best and count as proven."""
    return EXACT if n_cameras <= FEW else WITHIN


def twin_of(stage: Stage, earlier: Sequence[Stage]) -> int | None:
    """Index of an earlier stage that asks the same and has the same choice."""
    twins = (i for i, s in enumerate(earlier) if s.problem is stage.problem and s.chosen == stage.chosen)
    return next(twins, None)


def others_level(stage: Stage, camera: int) -> Singles:
    """Best quality of the other cameras for each target of a stage, shape (n_targets,)."""
    level: Singles = stage.problem.quality[other_rows(stage, camera)].max(axis=0, initial=0.0)
    return level


def other_rows(stage: Stage, camera: int) -> list[int]:
    """Rows of the other cameras."""
    return [row for i, row in enumerate(stage.chosen) if i != camera]


def row_worths(stage: Stage, camera: int) -> Floats:
    """Value of the stage with one camera on each row, the others kept.

    Returns
    -------
    shape (n_rows,); -inf where the camera may not stand beside the others
    """
    own = rows_beside(stage.problem, camera, other_rows(stage, camera))
    value = np.full(len(stage.problem.quality), -np.inf)
    level, weight = others_level(stage, camera), stage.problem.weight
    value[own] = float(weight @ level) + gains(stage.problem.quality, level, weight, own)
    return value


def place_worths(stage: Stage, camera: int) -> Floats:
    """Value of the stage with one camera at each position with its best lens, like `row_worths`; (n_positions,)."""
    best: Floats = row_worths(stage, camera).reshape(-1, stage.grid.rows.n_positions).max(axis=0)
    return best


def _search_all(
    match: Match,
    tasks: Sequence[StageTask],
    grid: Grid,
    memory: Memory,
    *,
    tolerance: float,
    deadline: float,
    progress: Progress | None,
) -> list[Stage]:
    stages: list[Stage] = []
    for index, task in enumerate(tasks):
        known = next((s for s in stages if is_same_question(match, s.task, task)), None)
        if known is not None:
            stages.append(replace(known, task=task))
            continue
        left_s = (deadline - time.monotonic()) / (len(tasks) - index)
        limit_s = None if np.isinf(deadline) else max(left_s, 0.01)
        stages.append(_search_stage(match, task, grid, memory, tolerance=tolerance, limit_s=limit_s, progress=progress))
    return stages


def _search_stage(
    match: Match,
    task: StageTask,
    grid: Grid,
    memory: Memory,
    *,
    tolerance: float,
    limit_s: float | None,
    progress: Progress | None,
) -> Stage:
    problem = stage_problem(
        match, task.periods, task.targets,
        candidates=grid.candidates, rows=grid.rows, quality=task_quality(grid, task),
    )  # fmt: skip
    deadline = np.inf if limit_s is None else time.monotonic() + limit_s
    result = search(
        problem, tolerance=tolerance, time_limit_s=limit_s, on_progress=_teller(progress, task.name, memory)
    )
    if not result.rows and result.status == "time limit":
        raise NoPlanError(f"{task.name}: no plan found in the time given; allow more with --time-limit")
    if not result.rows:
        left_s = None if limit_s is None else deadline - time.monotonic()
        raise NoPlanError(clash_words(match, task.periods, task.targets, problem, rows=grid.rows, time_limit_s=left_s))
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


def _finer(match: Match, stages: Sequence[Stage]) -> Candidates | None:
    """Add the spots to which each camera climbs, the others kept; None when none is new."""
    old = stages[0].grid.candidates
    known = {tuple(p) for p in old.xyz_m}
    fresh, areas = [], []
    for index, stage in enumerate(stages):
        if twin_of(stage, stages[:index]) is not None:
            continue
        for camera in range(len(match.cameras)):
            for spot, area in _climbed(match, stage, camera):
                if tuple(spot) not in known:
                    known.add(tuple(spot))
                    fresh.append(spot)
                    areas.append(area)
    if not fresh:
        return None
    return Candidates(
        np.vstack([old.xyz_m, fresh]), np.concatenate([old.area, np.array(areas, dtype=np.intp)]), old.area_keys
    )


def _climbed(match: Match, stage: Stage, index: int) -> list[tuple[Floats, int]]:
    """Best spots near the best places of one camera, each with its area, and the same places at a person's eye."""
    camera, places = match.cameras[index], stage.grid.candidates
    if camera.fixed is not None:
        return []
    starts = basins(places.xyz_m, place_worths(stage, index))
    worth = worth_beside(match, stage, index, camera_outfits(match, camera))
    climbs: list[tuple[Floats, int]] = []
    for start in starts:
        at = int(places.area[start])
        area = match.venue.allowed[at]
        spot = climb(match, places.xyz_m[start], area, camera, worth=worth)
        climbs.append((spot, at))
        climbs += [(np.array([*spot[:2], eye]), at) for eye in eye_heights_m(area, camera)]
    return climbs


def worth_beside(match: Match, stage: Stage, index: int, outfits: Sequence[Outfit]) -> Worth:
    """Value of the stage for any positions of one camera with the best of some outfits, the others kept.

    Nearer to another camera than the rules allow, and across the line of action from one where they forbid it, it is
    -inf. Past the memory's deadline it raises OutOfTimeError.
    """
    level, weight = others_level(stage, index), stage.problem.weight
    others_m = stage.grid.candidates.xyz_m[[p for i, p in enumerate(stage.positions) if i != index]]
    clashing = None
    if stage.problem.clashes is not None:
        others_quality = stage.problem.quality[other_rows(stage, index)]
        clashing = clash_beside(stage.task.targets, others_m=others_m, others_quality=others_quality)

    def worth(xyz_m: Floats) -> Floats:
        stage.memory.in_time()
        quality = known_quality(stage.memory, match, stage.task, xyz_m, outfits)
        value: Floats = np.maximum(quality, level) @ weight
        value[
            :, ~stand_apart(xyz_m[:, None, :2], others_m[None, :, :2], match.rules.separation_m).all(axis=1)
        ] = -np.inf
        if clashing is not None:
            value[clashing(xyz_m, quality)] = -np.inf
        best: Floats = value.max(axis=0)
        return best

    return worth


def stage_stations(match: Match, stage: Stage) -> tuple[Station, ...]:
    """Spots and lenses that the search has chosen, one for each camera."""
    places, rows = stage.grid.candidates, stage.grid.rows
    return tuple(
        Station(camera, rows.outfit(row), spot_at(places.area_keys[int(places.area[at])], *places.xyz_m[at]))
        for camera, row, at in zip(match.cameras, stage.chosen, stage.positions, strict=True)
    )


def is_same_question(match: Match, first: StageTask, second: StageTask) -> bool:
    """Do two stages ask the very same: periods in the same proportion, same work, same light, same places open."""
    one, other = (np.array([p.minutes for p in task.periods]) / task.minutes for task in (first, second))
    return (
        len(one) == len(other)
        and np.allclose(one, other, rtol=0.0, atol=1e-12)
        and all(area.periods is None for area in match.venue.allowed)
        and first.around == second.around
        and all(same_targets(a, b) for a, b in zip(first.targets, second.targets, strict=True))
    )
