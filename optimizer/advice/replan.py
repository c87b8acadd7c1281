"""Planning again with one thing changed, on the places of a plan that is there already."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from standmark.optimizer.choice.grid import Grid, task_quality
from standmark.optimizer.choice.rows import match_rows
from standmark.optimizer.choice.rules import rows_beside, stage_problem
from standmark.optimizer.choice.stage import FEW, Stage, proof_tolerance
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import SearchProblem, SearchResult, Start, search_only
from standmark.optimizer.search.verify import certified_worth, dearest_total
from standmark.sports.timeline import length_shares

# figures that one question takes at most, whatever the clock says: about 2 s beside the first bound
MOST_WORK = 9e8


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
    above: float = -np.inf,
    most_work: float = MOST_WORK,
) -> Replan | None:
    """Search every stage of a changed match; None when a stage has no plan.

    Parameters
    ----------
    match : the match with the change; same sport, venue, periods and number of cameras where `above` is given
    grid : with more outfits, where the change needs them; its positions are those of the stages
    narrow : takes rows away from a stage's problem
    above : only a plan that covers more is of interest; None where there is none, which is known sooner
    most_work : for each search, figures; the time limit of the stages holds too
    """
    grid = grid or stages[0].grid
    rows = match_rows(match, grid.candidates, outfits=grid.rows.outfits)
    share = length_shares(s.task for s in stages)
    twins = [next(k for k in range(i + 1) if stages[k].problem is stage.problem) for i, stage in enumerate(stages)]

    def changed(stage: Stage) -> SearchProblem:
        problem = stage_problem(
            match, stage.task, candidates=grid.candidates, rows=rows, quality=task_quality(grid, stage.task)
        )
        return problem if narrow is None else narrow(problem)

    most = np.full(len(stages), np.inf)  # that each stage can cover, as far as it is known
    if above > -np.inf and len(set(twins)) > 1:
        for i in dict.fromkeys(twins):
            most[np.array(twins) == i] = _most(changed(stages[i]), stages[i])
    found: dict[int, SearchResult] = {}
    for i in dict.fromkeys(twins):
        stages[i].memory.in_time()
        is_own = np.array(twins) == i
        least = -np.inf
        if above > -np.inf:
            least = (above - float(share[~is_own] @ most[~is_own])) / float(share[is_own].sum())
            if most[i] <= least:
                return None
        problem = changed(stages[i])
        if not all(len(own) for own in problem.rows_by_camera):
            return None
        found[i] = search_only(
            problem,
            tolerance=proof_tolerance(len(match.cameras)),
            time_limit_s=stages[i].memory.left_s(),
            most_work=most_work,
            on_progress=lambda *_: stages[0].memory.checkpoint(),
            known_value=least,
            start=_start(problem, stages[i]),
        )
        if not found[i].rows:
            return None
        most[is_own] = found[i].upper_bound
    results = [found[i] for i in twins]
    return Replan(
        float(share @ [r.value for r in results]),
        float(share @ [r.upper_bound for r in results]),
        all(r.status == "optimal" for r in results),
        tuple(r.rows for r in results),
    )


def _start(problem: SearchProblem, stage: Stage) -> Start | None:
    """Where the search of a stage came to, if its best is still allowed; from elsewhere a fresh search is as quick.

    With more than FEW cameras a search ends a little short of the best, and where it ends hangs on where it began.
    """
    rows = stage.result.rows
    is_allowed = len(problem.rows_by_camera) == len(rows) <= FEW and all(
        row in rows_beside(problem, camera, rows[:camera]) for camera, row in enumerate(rows)
    )
    return Start(rows, stage.result.certificate) if is_allowed else None


def _most(problem: SearchProblem, stage: Stage) -> float:
    """Most that any plan of a changed problem covers, by the prices that bounded the stage as it is."""
    base, worth = certified_worth(problem, stage.result.certificate)
    return base + dearest_total(list(problem.rows_by_camera), worth)


def stages_value(stages: Sequence[Stage]) -> float:
    """Coverage of the whole match at the proven best of every stage."""
    share = length_shares(s.task for s in stages)
    return float(share @ [s.result.value for s in stages])
