"""Parts of a match in which nobody moves, and what pictures and sheets need to know of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from standmark.optimizer.assignment import PeriodPlan, plan_stations
from standmark.optimizer.ground_map import GroundMap, ground_map, ground_mesh
from standmark.optimizer.plan import Plan
from standmark.optimizer.what_if import WhatIf, what_if

WHOLE = "Whole match"


@dataclass(frozen=True, eq=False)
class Stretch:
    """Periods in which every camera keeps its place and lens; maps and table are of the first of them."""

    name: str
    periods: tuple[PeriodPlan, ...]
    found: GroundMap
    table: WhatIf

    @property
    def first(self) -> PeriodPlan:
        """Period that stands for the others."""
        return self.periods[0]


def plan_stretches(plan: Plan) -> tuple[Stretch, ...]:
    """Group the periods of a plan by the places and lenses of the cameras."""
    groups: dict[tuple[tuple[str, str], ...], list[PeriodPlan]] = {}
    for period in plan.periods:
        groups.setdefault(tuple((a.spot.id, a.lens.name) for a in period.assignments), []).append(period)
    return tuple(_stretch(plan, same) for same in groups.values())


def _stretch(plan: Plan, same: Sequence[PeriodPlan]) -> Stretch:
    match, first = plan.match, same[0]
    found = ground_map(match, ground_mesh(match, first.period), plan_stations(match, first))
    name = WHOLE if len(same) == len(plan.periods) else ", ".join(p.period.name for p in same)
    return Stretch(name, tuple(same), found, what_if(match, first))
