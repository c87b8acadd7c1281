"""Among plans nearly as good as the best, the one with more second angles; and none across the line if that is cheap.

The proven best stays the measure: what the choice gives up is at most `rules.second_angle_give`, and is reported. A
point of second angles counts as half a point of coverage, so that little is never given up for next to nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from standmark.geometry.arrays import Indices
from standmark.optimizer.choice.angle_score import AngleScore
from standmark.optimizer.choice.grid import stage_task, task_quality
from standmark.optimizer.choice.memory import Memory, OutOfTimeError
from standmark.optimizer.choice.rules import keeps_floors, rows_beside, stage_problem
from standmark.optimizer.choice.stage import FEW, Stage, proof_tolerance
from standmark.optimizer.match.match import Match, asked_by
from standmark.optimizer.search import (
    SearchProblem,
    SearchResult,
    best_pair,
    near_problem,
    search,
    search_only,
    set_value,
)
from standmark.optimizer.search.kernel import gains, level_worth

ROUNDING = 1e-9  # a plan this little under the least still counts
LEAST_GAIN = 1e-6  # of the score: less is rounding
MOST_PAIRS = 300_000  # pairs valued among plans of two cameras near the best, those that may score most first
MOST_STARTS = 3  # of climbs


def with_second_angles(match: Match, stages: Sequence[Stage]) -> list[Stage]:
    """Give each stage the plan near its best that is best with its second angles; a single camera keeps its best.

    Pairs near the best are all looked at; with more cameras the choice is climbed to, one swap at a time.

    Where the best is not proven, or the time runs out, the plan found stays. Stages between which nobody moves get one
    choice, made over all of them; a camera that stays while others move keeps its place. With `rules.same_side` =
    "warn", plans on one side of the line of action come before all others.
    """
    if len(match.cameras) == 1 or match.rules.second_angle_give <= 0 or not all(s.is_proven for s in stages):
        return list(stages)
    runs, rules = _runs(stages), asked_by(match, "same_side", "second_angle_give")
    known: dict[tuple[object, ...], tuple[int, ...]] = {}
    improved: list[Stage] = []
    for index, run in enumerate(runs):
        fixed = tuple(sorted({*_stayers(runs, index), *run[0].held}))
        asked = (*dict.fromkeys(id(s.problem) for s in run), run[0].chosen, fixed)
        if asked not in known:
            depends_on = (rules, *dict.fromkeys(s.problem for s in run), run[0].chosen, fixed, run[0].held)
            try:
                known[asked] = run[0].memory.step(
                    f"second angles {len(known)}", depends_on, partial(_choice, match, run, fixed)
                )
            except OutOfTimeError:
                known[asked] = ()
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
    run[0].memory.in_time()
    stage, tolerance = _together(match, run), proof_tolerance(len(match.cameras))
    memory = stage.memory
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
    result = stage.result if problem is run[0].problem else _found(problem, tolerance, memory)
    least = stage.value - match.rules.second_angle_give
    if not result.rows or result.value < least:  # lenses change from stage to stage, and that is worth more
        return ()
    near = near_problem(problem, result, within=result.value - least)
    score, chosen = AngleScore(match, stage, near), near.inside(result.rows)
    if len(chosen) == 2:
        found = best_pair(
            near.problem, result.certificate, chosen, least=least, score=score.of_pairs,
            most_score=score.most_of_pairs, most_valued=MOST_PAIRS, time_limit_s=memory.left_s(),
        )  # fmt: skip
        memory.in_time()
        return near.outside(found.rows)
    some = near.problem
    if match.rules.same_side == "warn" and score.crosses(chosen):
        one_side = replace(some, clashes=score.clashes)
        kept = search_only(one_side, known_value=least - ROUNDING, tolerance=tolerance, time_limit_s=memory.left_s())
        memory.in_time()
        if kept.rows and kept.value >= least:
            some, chosen = one_side, kept.rows
    return near.outside(_climbed(some, chosen, least, score))


def _found(problem: SearchProblem, tolerance: float, memory: Memory) -> SearchResult:
    """Search as long as there is time; what was cut off is no result."""
    result = search(problem, tolerance=tolerance, time_limit_s=memory.left_s())
    memory.in_time()
    return result


def _together(match: Match, run: Sequence[Stage]) -> Stage:
    """Stages of a run as one that asks for all their periods; its value is that of the choices they have now."""
    first = run[0]
    if all(s.problem is first.problem for s in run):
        return first
    task = stage_task(asked for s in run for asked in s.task.by_period)
    problem = stage_problem(
        match, task, candidates=first.grid.candidates, rows=first.grid.rows, quality=task_quality(first.grid, task)
    )
    value = sum(s.value * s.task.minutes for s in run) / task.minutes
    return replace(first, task=task, problem=problem, value=value)


def _climbed(problem: SearchProblem, rows: Sequence[int], least: float, score: AngleScore) -> tuple[int, ...]:
    """Climb from the set itself and, with few cameras, from swaps into other areas as well; the best end of all.

    Parameters
    ----------
    least : value that every set on the way keeps
    """
    starts = [tuple(rows)]
    if len(rows) <= FEW:
        swaps = _swaps_by_area(problem, starts[0], least, score)
        starts += [_swapped(starts[0], camera, row) for _, camera, row in swaps[1:MOST_STARTS]]
    ends = {_top(problem, start, least, score) for start in starts}
    best = max(ends, key=lambda end: (score.of(end), tuple(-row for row in end)))
    return _in_order(problem, best)


def _top(problem: SearchProblem, rows: tuple[int, ...], least: float, score: AngleScore) -> tuple[int, ...]:
    """Swap one row at a time for the one that raises the score most, while any does."""
    best = score.of(rows)
    while True:
        camera, row = -1, -1
        for index in range(len(rows)):
            score.stage.memory.in_time()
            others = [*rows[:index], *rows[index + 1 :]]
            own = _worth_at_least(problem, index, others, least)
            value, best_row = score.best_beside(own, others, above=best + (LEAST_GAIN if camera < 0 else 0.0))
            if best_row >= 0:
                best, camera, row = value, index, best_row
        if camera < 0:
            return rows
        rows = _swapped(rows, camera, row)


def _swapped(rows: tuple[int, ...], camera: int, row: int) -> tuple[int, ...]:
    return (*rows[:camera], row, *rows[camera + 1 :])


def _swaps_by_area(
    problem: SearchProblem, rows: tuple[int, ...], least: float, score: AngleScore
) -> list[tuple[float, int, int]]:
    """Best swap of each camera into each area: score, camera, row; best first."""
    swaps = []
    for camera in range(len(rows)):
        score.stage.memory.in_time()
        others = [*rows[:camera], *rows[camera + 1 :]]
        own = _worth_at_least(problem, camera, others, least)
        scores = score.beside(own, others)
        area = np.zeros(len(own), np.intp) if problem.group is None else problem.group[own]
        for index in np.unique(area):
            at = np.flatnonzero(area == index)
            best = at[int(scores[at].argmax())]
            swaps.append((float(scores[best]), camera, int(own[best])))
    return sorted(swaps, key=lambda swap: (-swap[0], swap[1], swap[2]))


def _worth_at_least(problem: SearchProblem, camera: int, others: Sequence[int], least: float) -> Indices:
    """Rows of one camera that keep every rule and a value beside the others."""
    own = rows_beside(problem, camera, others)
    level = problem.quality[list(others)].max(axis=0)
    values = level_worth(level, problem.weight) + gains(problem.quality, level, problem.weight, own)
    own = own[values >= least]
    if not problem.floors:
        return own
    return own[[keeps_floors(problem, np.maximum(problem.quality[row], level)) for row in own]]


def _in_order(problem: SearchProblem, rows: Sequence[int]) -> tuple[int, ...]:
    """The same rows, those of interchangeable cameras ascending, as the search gives them."""
    chosen = list(rows)
    for own in problem.rows_by_camera:
        alike = [i for i, other in enumerate(problem.rows_by_camera) if np.array_equal(own, other)]
        for i, row in zip(alike, sorted(chosen[i] for i in alike), strict=True):
            chosen[i] = row
    return tuple(chosen)
