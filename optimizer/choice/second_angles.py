"""Among plans nearly as good as the best, the one with more second angles; and none across the line if that is cheap.

The proven best stays the measure: what the choice gives up is at most `rules.second_angle_give`, and is reported. A
point of second angles counts as half a point of coverage, so that little is never given up for next to nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from standmark.geometry.arrays import Flags, Floats, Indices, Singles
from standmark.geometry.optics.camera import RecordingMode, subject_fraction
from standmark.optimizer.choice.grid import StageTask, task_quality
from standmark.optimizer.choice.line_clashes import line_clashes
from standmark.optimizer.choice.rules import stage_problem
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import clash, near_best, search, search_only, set_value
from standmark.optimizer.value.size import WantedSize, focal_in_use_mm, framed_extent_m, wanted_size
from standmark.optimizer.work.second_angle import LEAST_ANGLE_DEG, LEAST_RATIO

MOST_PAIRS = 30_000  # pairs of cameras looked at among plans near the best; the search gives good plans first
SECOND_WORTH = 0.5  # of one point of second angles, in points of coverage (common practice, no source)
ROUNDING = 1e-9  # a plan this little under the least still counts
BLOCK = 128  # plans at a time: what they need stays in a core's own cache
LEAST_COSINE = math.cos(math.radians(LEAST_ANGLE_DEG))
LEAST_OCTAVES = math.log2(LEAST_RATIO)


def with_second_angles(match: Match, stages: Sequence[Stage]) -> list[Stage]:
    """Give each stage the plan near its best that is best with its second angles; a single camera keeps its best.

    Where the best is not proven, the plan found stays. Stages between which nobody moves get one choice, made over
    all of them; a camera that stays while others move keeps its place. With `rules.same_side` = "warn", plans on
    one side of the line of action come before all others.
    """
    if len(match.cameras) == 1 or match.rules.second_angle_give <= 0 or not all(s.is_proven for s in stages):
        return list(stages)
    runs = _runs(stages)
    known: dict[tuple[object, ...], tuple[int, ...]] = {}
    improved: list[Stage] = []
    for index, run in enumerate(runs):
        fixed = tuple(sorted({*_stayers(runs, index), *run[0].held}))
        asked = (*dict.fromkeys(id(s.problem) for s in run), run[0].chosen, fixed)
        if asked not in known:
            known[asked] = _choice(match, run, fixed)
        chosen = known[asked]
        improved += [replace(s, chosen=chosen, value=set_value(s.problem, chosen)) if chosen else s for s in run]
    return improved


def _runs(stages: Sequence[Stage]) -> list[list[Stage]]:
    """Stages one after the other between which nobody moves."""
    runs = [[stages[0]]]
    for stage in stages[1:]:
        if stage.positions == runs[-1][-1].positions:
            runs[-1].append(stage)
        else:
            runs.append([stage])
    return runs


def _stayers(runs: Sequence[Sequence[Stage]], index: int) -> tuple[int, ...]:
    """Cameras of a run that keep their place from the run before or into the next one."""
    others = [run[0].positions for run in (*runs[max(index - 1, 0) : index], *runs[index + 1 : index + 2])]
    here = runs[index][0].positions
    return tuple(i for i, position in enumerate(here) if any(other[i] == position for other in others))


def _choice(match: Match, run: Sequence[Stage], fixed: Sequence[int]) -> tuple[int, ...]:
    """Row of each camera for all stages of a run; empty where the stages keep what they have."""
    stage = _together(match, run)
    problem, n = stage.problem, stage.grid.rows.n_positions
    if fixed:
        rows = tuple(
            own[own == stage.chosen[i]]
            if i in stage.held
            else own[own % n == stage.positions[i]]
            if i in fixed
            else own
            for i, own in enumerate(problem.rows_by_camera)
        )
        problem = replace(problem, rows_by_camera=rows)
    result = stage.result if problem is run[0].problem else search(problem)
    least = stage.value - match.rules.second_angle_give
    if not result.rows or result.value < least:  # lenses change from stage to stage, and that is worth more
        return ()
    scorer = _Scorer(match, stage)
    if match.rules.same_side == "warn" and scorer.crosses(np.array([result.rows]))[0]:
        one_side = replace(problem, clashes=scorer.clashes)
        kept = search_only(one_side, known_value=least - ROUNDING)
        if kept.rows and kept.value >= least:
            problem, result = one_side, kept
    most_sets = MOST_PAIRS // math.comb(len(match.cameras), 2)
    near = near_best(
        problem, result, within=max(result.value - least, 0.0), score=scorer.score, keep=1, most_sets=most_sets
    )
    return tuple(int(row) for row in near.rows[0]) if len(near.rows) else result.rows


def _together(match: Match, run: Sequence[Stage]) -> Stage:
    """Stages of a run as one that asks for all their periods; its value is that of the choices they have now."""
    first = run[0]
    if all(s.problem is first.problem for s in run):
        return first
    tasks = [s.task for s in run]
    task = StageTask(
        tuple(p for t in tasks for p in t.periods),
        tuple(targets for t in tasks for targets in t.targets),
        tuple(around for t in tasks for around in t.around),
    )
    problem = stage_problem(
        match, task.periods, task.targets,
        candidates=first.grid.candidates, rows=first.grid.rows, quality=task_quality(first.grid, task),
    )  # fmt: skip
    value = sum(s.value * s.task.minutes for s in run) / task.minutes
    return replace(first, task=task, problem=problem, value=value)


class _Scorer:
    """Worth of many sets of rows with their second angles; what a row shows is worked out when it first comes up."""

    def __init__(self, match: Match, stage: Stage) -> None:
        self.match, self.stage = match, stage
        self.weight = stage.problem.weight.astype(np.float32)
        self.targets_m = np.vstack([t.xyz_m for t in stage.task.targets])
        self.subject_m = np.concatenate([t.subject_m for t in stage.task.targets])
        extent_m = np.vstack([t.extent_m for t in stage.task.targets])
        self.extent_m = framed_extent_m(extent_m, match.deliverable)
        self.clashes = stage.problem.clashes  # under "forbid"; under "warn" as if it were
        if match.rules.same_side == "warn":
            self.clashes = line_clashes(
                stage.task.targets, xyz_m=stage.grid.candidates.xyz_m, rows=stage.grid.rows,
                quality=stage.problem.quality,
            )  # fmt: skip
        self.wanted: dict[RecordingMode, WantedSize] = {}
        self.known: dict[int, tuple[Singles, ...]] = {}  # row -> unit vector x, y, z, log2 of the size, quality

    def score(self, sets: Indices) -> Floats:
        """Score of each set of rows, shape (n,)."""
        parts = [self._block(sets[i : i + BLOCK]) for i in range(0, len(sets), BLOCK)]
        return np.concatenate(parts) if parts else np.empty(0)

    def _block(self, sets: Indices) -> Floats:
        rows, index = np.unique(sets, return_inverse=True)
        index = index.reshape(sets.shape)
        self._look_at(rows)
        x, y, z, size, quality = (np.array([self.known[int(row)][k] for row in rows]) for k in range(5))
        twice, best = np.zeros((2, len(sets), len(self.weight)), np.float32)
        for i, j in combinations(range(sets.shape[1]), 2):
            a, b = index[:, i], index[:, j]
            cosine = x[a] * x[b]
            cosine += y[a] * y[b]
            cosine += z[a] * z[b]
            differs = cosine <= LEAST_COSINE
            differs |= np.abs(size[a] - size[b]) >= LEAST_OCTAVES
            both = np.minimum(quality[a], quality[b])
            both *= differs
            np.maximum(twice, both, out=twice)
        for column in index.T:
            np.maximum(best, quality[column], out=best)
        score = ((best + SECOND_WORTH * twice) @ self.weight).astype(np.float64)
        return np.asarray(score - self.crosses(sets) if self.match.rules.same_side == "warn" else score)

    def crosses(self, sets: Indices) -> Flags:
        """Which sets take some moment from opposite sides of its line of action, shape (n,)."""
        assert self.clashes is not None
        pairs = combinations(sets.T, 2)
        return np.asarray(np.any([clash(self.clashes, first, second) for first, second in pairs], axis=0))

    def _look_at(self, rows: Indices) -> None:
        """Work out direction, size and quality of rows not looked at before, in single precision."""
        for row in (int(r) for r in rows if int(r) not in self.known):
            kit, at = self.stage.grid.rows, self.stage.grid.candidates.xyz_m
            outfit = kit.outfit(row)
            away_m = at[kit.position(row)] - self.targets_m
            distance_m = np.linalg.norm(away_m, axis=1)
            if outfit.mode not in self.wanted:
                self.wanted[outfit.mode] = wanted_size(
                    self.subject_m, self.extent_m, mode=outfit.mode, deliverable=self.match.deliverable
                )
            focal_mm = focal_in_use_mm(distance_m, self.wanted[outfit.mode], outfit.lens)
            size = subject_fraction(self.subject_m, distance_m, focal_mm=focal_mm, mode=outfit.mode)
            way = (away_m / distance_m[:, None]).T.astype(np.float32)
            self.known[row] = (*way, np.log2(size).astype(np.float32), self.stage.problem.quality[row])
