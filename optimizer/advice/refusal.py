"""What each allowed area, and each kind of place, is worth: coverage of the best plan without it.

Grounds refuse by kind ("nobody behind the goals"), so mirrored pieces of one kind are asked about together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

import numpy as np

from standmark.optimizer.advice.replan import replan, stages_value
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import SearchProblem
from standmark.sports.place_kind import RAISED_KINDS

RAISED_FROM_M = 3.0  # lens height from which an area of one's own counts as raised; common practice, no source


AreaGroup = Literal["ends", "+y", "-y", "raised"]  # "+y", "-y": sides on the ground


@dataclass(frozen=True)
class Refusal:
    """The best plan when one area is refused."""

    area: str
    coverage: float | None  # of the whole match; None: no plan is left
    loss: float | None


@dataclass(frozen=True)
class KindRefusal:
    """The best plan when all areas of one kind are refused."""

    kind: AreaGroup
    areas: tuple[str, ...]
    coverage: float | None  # of the whole match; None: no plan is left
    loss: float | None


def place_kinds(match: Match) -> dict[AreaGroup, tuple[int, ...]]:
    """Sort the allowed areas by what a ground says yes or no to: raised places, behind the ends, each side."""
    low_x, _, high_x, _ = match.sport.area.outline.bounds
    kinds: dict[AreaGroup, list[int]] = {}
    for index, area in enumerate(match.venue.allowed):
        middle = area.shape.centroid
        kind: AreaGroup = "ends" if not low_x < middle.x < high_x else "+y" if middle.y > 0 else "-y"
        is_raised = area.kind in RAISED_KINDS or area.lens_height_m[0] >= RAISED_FROM_M
        kinds.setdefault("raised" if is_raised else kind, []).append(index)
    return {kind: tuple(own) for kind, own in sorted(kinds.items())}


def kind_refusals(match: Match, stages: Sequence[Stage]) -> tuple[KindRefusal, ...]:
    """Cost of refusing each kind of place, everything else planned again."""
    return tuple(
        KindRefusal(kind, tuple(match.venue.allowed[i].key for i in own), *_cost(match, stages, own))
        for kind, own in place_kinds(match).items()
    )


def refusals(match: Match, stages: Sequence[Stage]) -> tuple[Refusal, ...]:
    """Cost of refusing each area, everything else planned again; an area that the best leaves empty costs nothing.

    Cameras that the user fixed stay, wherever they are.
    """
    return tuple(Refusal(area.key, *_cost(match, stages, (index,))) for index, area in enumerate(match.venue.allowed))


def _cost(match: Match, stages: Sequence[Stage], areas: tuple[int, ...]) -> tuple[float | None, float | None]:
    """Coverage without some areas and what that loses; nothing where the best leaves them empty."""
    now = stages_value(stages)
    movable = [i for i, camera in enumerate(match.cameras) if camera.fixed is None]
    used = {int(s.grid.candidates.area[s.grid.rows.position(s.result.rows[i])]) for s in stages for i in movable}
    if not used & set(areas):
        return now, 0.0
    plan = replan(match, stages, narrow=partial(_without, areas=areas, movable=movable))
    return (None, None) if plan is None else (plan.coverage, max(now - plan.coverage, 0.0))


def _without(problem: SearchProblem, *, areas: tuple[int, ...], movable: Sequence[int]) -> SearchProblem:
    assert problem.group is not None
    is_left = ~np.isin(problem.group, areas)
    rows = tuple(own[is_left[own]] if i in movable else own for i, own in enumerate(problem.rows_by_camera))
    return replace(problem, rows_by_camera=rows)
