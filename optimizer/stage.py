"""Stages: consecutive periods that share one choice of places, and the exact search over each.

All stages of a match share one set of positions, so that "the same place" means the same index. Each
stage is searched on a coarse grid first; then the grid is refined round the best spots of all stages.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.errors import NoPlanError
from standmark.optimizer.candidates import FINEST_M, SPACING_M, Candidates, match_candidates, refine_places
from standmark.optimizer.clash import clash_words
from standmark.optimizer.kit import Rows, match_rows
from standmark.optimizer.match import Match
from standmark.optimizer.quality import Surroundings, quality_matrix
from standmark.optimizer.rules import stage_problem
from standmark.optimizer.search import SearchProblem, SearchResult, search
from standmark.optimizer.surroundings import period_surroundings
from standmark.optimizer.targets import Targets, period_targets, same_places
from standmark.sports.sport import Period

Progress = Callable[[str], None]
QUIET_S = 0.5  # least time between two lines of progress


@dataclass(frozen=True, eq=False)
class Task:
    """What one stage asks: its periods, what has to be seen in each, and what the ground adds to the view."""

    periods: tuple[Period, ...]
    targets: tuple[Targets, ...]  # one for each period
    around: tuple[Surroundings, ...]

    @property
    def minutes(self) -> float:
        """Length of all its periods together."""
        return sum(p.minutes for p in self.periods)

    @property
    def name(self) -> str:
        """Names of its periods."""
        return ", ".join(p.name for p in self.periods)

    def columns(self, index: int) -> slice:
        """Where the targets of its period number `index` stand among the columns of its quality."""
        edges = np.cumsum([0] + [len(t.weight) for t in self.targets])
        return slice(int(edges[index]), int(edges[index + 1]))


@dataclass(frozen=True, eq=False)
class Stage:
    """A task, every position tried and what each row is worth there, and the best choice."""

    task: Task
    candidates: Candidates
    rows: Rows
    problem: SearchProblem
    result: SearchResult


def match_tasks(match: Match) -> list[Task]:
    """Lay out what a match asks, stage by stage."""
    return [
        Task(
            periods,
            tuple(period_targets(match, p) for p in periods),
            tuple(period_surroundings(match, p) for p in periods),
        )
        for periods in stage_periods(match)
    ]


def stage_periods(match: Match) -> list[tuple[Period, ...]]:
    """Group the periods of a match into stages: a new one wherever cameras may move and the rules let them."""
    stages: list[list[Period]] = [[]]
    for period in match.sport.periods:
        stages[-1].append(period)
        if period.may_move_after and match.rules.moves != "never":
            stages.append([])
    return [tuple(s) for s in stages if s]


def solve_stages(match: Match, *, time_limit_s: float | None = None, progress: Progress | None = None) -> list[Stage]:
    """Search every stage of a match: coarse grid first, then finer grids round the best spots until FINEST_M.

    Parameters
    ----------
    time_limit_s : for all searches together; when it is hit, results say the remaining gap
    progress : called with one short line now and then

    Raises
    ------
    InputError : no place is left for a camera
    NoPlanError : the rules of the match leave no plan, or none was found in the time given
    """
    tasks = match_tasks(match)
    deadline = np.inf if time_limit_s is None else time.monotonic() + time_limit_s
    grid = _Grid(match, tasks, match_candidates(match))
    stages = _search_all(grid, deadline=deadline, progress=progress)
    step_m = SPACING_M / 2
    while step_m >= FINEST_M - 1e-9 and time.monotonic() < deadline:
        finer = _refined(match, stages, step_m)
        if finer is not None:
            grid = _Grid(match, tasks, finer, known=grid)
            stages = _search_all(grid, deadline=deadline, progress=progress)
        step_m /= 2
    return stages


class _Grid:
    """Positions, rows and the quality of every row for every stage; equal looks are computed and kept once."""

    def __init__(self, match: Match, tasks: Sequence[Task], candidates: Candidates, known: _Grid | None = None) -> None:
        self.match, self.tasks, self.candidates = match, tasks, candidates
        self.rows = match_rows(match, candidates)
        self.looks: list[tuple[Targets, Surroundings, NDArray[np.float32]]] = []
        for task in tasks:
            for targets, around in zip(task.targets, task.around, strict=True):
                if self._look(targets, around) is None:
                    old = None if known is None else known._look(targets, around)
                    self.looks.append((targets, around, self._quality(targets, around, old)))

    def stage_quality(self, task: Task) -> NDArray[np.float32]:
        """Quality of all rows for one task, its periods side by side."""
        parts = [self._look(t, a) for t, a in zip(task.targets, task.around, strict=True)]
        found = [p for p in parts if p is not None]
        return found[0] if len(found) == 1 else np.hstack(found)

    def _look(self, targets: Targets, around: Surroundings) -> NDArray[np.float32] | None:
        for known, near, quality in self.looks:
            if near == around and same_places(known, targets):
                return quality
        return None

    def _quality(
        self, targets: Targets, around: Surroundings, old: NDArray[np.float32] | None
    ) -> NDArray[np.float32]:
        n_outfits = len(self.rows.outfits)
        n_known = 0 if old is None else len(old) // n_outfits
        fresh = quality_matrix(
            self.candidates.xyz_m[n_known:], targets, rows=self.rows, deliverable=self.match.deliverable, around=around
        )
        if old is None:
            return fresh
        width = len(targets.weight)
        both = [old.reshape(n_outfits, -1, width), fresh.reshape(n_outfits, -1, width)]
        return np.concatenate(both, axis=1).reshape(-1, width)


def _search_all(grid: _Grid, *, deadline: float, progress: Progress | None) -> list[Stage]:
    stages: list[Stage] = []
    for index, task in enumerate(grid.tasks):
        known = next((s for s in stages if _is_same_problem(grid.match, s.task, task)), None)
        if known is not None:
            stages.append(replace(known, task=task))
            continue
        left_s = (deadline - time.monotonic()) / (len(grid.tasks) - index)
        stages.append(_search_stage(grid, task, limit_s=None if np.isinf(deadline) else max(left_s, 0.01),
                                    progress=progress))  # fmt: skip
    return stages


def _search_stage(grid: _Grid, task: Task, *, limit_s: float | None, progress: Progress | None) -> Stage:
    problem = stage_problem(
        grid.match, task.periods, task.targets,
        candidates=grid.candidates, rows=grid.rows, quality=grid.stage_quality(task),
    )  # fmt: skip
    result = search(problem, time_limit_s=limit_s, on_progress=_teller(progress, task.name))
    if not result.rows:
        if result.status == "time limit":
            raise NoPlanError(f"{task.name}: no plan found in the time given; allow more with --time-limit")
        raise NoPlanError(clash_words(grid.match, task.periods, task.targets, problem, rows=grid.rows))
    return Stage(task, grid.candidates, grid.rows, problem, result)


def _teller(progress: Progress | None, name: str) -> Callable[[float, float, int], None] | None:
    """Turn the search's figures into a line now and then."""
    if progress is None:
        return None
    last = [-np.inf]

    def tell(value: float, bound: float, n_nodes: int) -> None:
        if time.monotonic() - last[0] >= QUIET_S and np.isfinite(bound):
            last[0] = time.monotonic()
            found = f"covers {100 * value:.1f} %, at most {100 * bound:.1f} %" if np.isfinite(value) else "looking"
            progress(f"searching {name}: {found}")

    return tell


def _refined(match: Match, stages: Sequence[Stage], step_m: float) -> Candidates | None:
    """Add the neighbours of every chosen spot that are not candidates yet."""
    old = stages[0].candidates
    known = {tuple(p) for p in old.xyz_m.round(6)}
    fresh, owners = [], []
    chosen = [(camera, s.rows.position(row)) for s in stages for camera, row in zip(match.cameras, s.result.rows, strict=True)]
    for camera, position in dict.fromkeys((i, p) for i, p in chosen):
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
    area_of = np.concatenate([old.area, np.array(owners, dtype=np.intp)])
    return Candidates(np.vstack([old.xyz_m, fresh]), area_of, old.area_keys)


def _is_same_problem(match: Match, first: Task, second: Task) -> bool:
    """Do two stages ask the very same question: same lengths, same work, same light, same places open."""
    return (
        [p.minutes for p in first.periods] == [p.minutes for p in second.periods]
        and all(area.periods is None for area in match.venue.allowed)
        and first.around == second.around
        and all(
            same_places(a, b) and np.array_equal(a.weight, b.weight)
            for a, b in zip(first.targets, second.targets, strict=True)
        )
    )
