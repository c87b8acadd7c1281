"""Planning again with one thing changed, on the places of a plan that is there already."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from standmark.optimizer.choice.grid import Grid, task_quality
from standmark.optimizer.choice.rows import match_rows
from standmark.optimizer.choice.rules import stage_problem
from standmark.optimizer.choice.stage import Stage, proof_tolerance
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import SearchProblem, search
from standmark.sports.timeline import length_shares


@dataclass(frozen=True)
class Replan:
    """The best plan with the change, over the whole match."""

    coverage: float
    upper_bound: float
    proven: bool
    rows: tuple[tuple[int, ...], ...]  # for each stage, the row of each camera on the grid that was searched


def replan(
    match: Match,
    stages: Sequence[Stage],
    *,
    grid: Grid | None = None,
    narrow: Callable[[SearchProblem], SearchProblem] | None = None,
    time_limit_s: float | None = None,
) -> Replan | None:
    """Search every stage of a changed match; None when a stage has no plan.

    Parameters
    ----------
    match : the match with the change; same sport, venue and periods
    grid : with more outfits, where the change needs them; its positions are those of the stages
    narrow : takes rows away from a stage's problem
    time_limit_s : for each search
    """
    grid = grid or stages[0].grid
    rows = match_rows(match, grid.candidates, outfits=grid.rows.outfits)
    share = length_shares(s.task for s in stages)
    values: list[float] = []
    bounds: list[float] = []
    chosen: list[tuple[int, ...]] = []
    proven = True
    for i, stage in enumerate(stages):
        twin = next((k for k in range(i) if stages[k].problem is stage.problem), None)
        if twin is not None:
            values.append(values[twin])
            bounds.append(bounds[twin])
            chosen.append(chosen[twin])
            continue
        stage.memory.in_time()
        problem = stage_problem(
            match, stage.task.periods, stage.task.targets,
            candidates=grid.candidates, rows=rows, quality=task_quality(grid, stage.task),
        )  # fmt: skip
        problem = problem if narrow is None else narrow(problem)
        if not all(len(own) for own in problem.rows_by_camera):
            return None
        left_s = stage.memory.left_s(time_limit_s)
        result = search(problem, tolerance=proof_tolerance(len(match.cameras)), time_limit_s=left_s)
        if not result.rows:
            return None
        values.append(result.value)
        bounds.append(result.upper_bound)
        chosen.append(result.rows)
        proven = proven and result.status == "optimal"
    return Replan(float(share @ values), float(share @ bounds), proven, tuple(chosen))


def stages_value(stages: Sequence[Stage]) -> float:
    """Coverage of the whole match at the proven best of every stage."""
    share = length_shares(s.task for s in stages)
    return float(share @ [s.result.value for s in stages])
