"""What each allowed area is worth: coverage of the best plan without it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from standmark.optimizer.advice.replan import replan, stages_value
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import SearchProblem


@dataclass(frozen=True)
class Refusal:
    """The best plan when one area is refused."""

    area: str
    coverage: float | None  # of the whole match; None: no plan is left
    loss: float | None


def refusals(match: Match, stages: Sequence[Stage], *, time_limit_s: float | None = None) -> tuple[Refusal, ...]:
    """Cost of refusing each area, everything else planned anew; an area that the best leaves empty costs nothing.

    Cameras that the user fixed stay, wherever they are.
    """
    now = stages_value(stages)
    movable = [i for i, camera in enumerate(match.cameras) if camera.fixed is None]
    used = {int(s.grid.candidates.area[s.grid.rows.position(s.result.rows[i])]) for s in stages for i in movable}
    found = []
    for index, area in enumerate(match.venue.allowed):
        if index not in used:
            found.append(Refusal(area.key, now, 0.0))
            continue
        narrow = partial(_without, area=index, movable=movable)
        plan = replan(match, stages, narrow=narrow, time_limit_s=time_limit_s)
        coverage = None if plan is None else plan.coverage
        found.append(Refusal(area.key, coverage, None if coverage is None else max(now - coverage, 0.0)))
    return tuple(found)


def _without(problem: SearchProblem, *, area: int, movable: Sequence[int]) -> SearchProblem:
    assert problem.group is not None
    is_left = problem.group != area
    rows = tuple(own[is_left[own]] if i in movable else own for i, own in enumerate(problem.rows_by_camera))
    return replace(problem, rows_by_camera=rows)
