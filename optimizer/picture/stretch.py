"""Parts of a match in which every camera does the same work, and what pictures and sheets need to know of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from standmark.optimizer.picture.what_if import WhatIf, what_if
from standmark.optimizer.planning import Plan
from standmark.optimizer.value.targets import Targets, period_targets, same_targets
from standmark.optimizer.work.assignment import PeriodPlan, plan_stations
from standmark.optimizer.work.ground_map import GroundMap, ground_map, ground_mesh

WHOLE = "Whole match"
ALIKE = 0.01  # periods whose coverage differs by less, in all and in every moment, are shown as one


@dataclass(frozen=True, eq=False)
class Stretch:
    """Periods in which every camera has the same place, lens and work; maps and table are of the first of them."""

    name: str
    periods: tuple[PeriodPlan, ...]
    coverage_map: GroundMap
    table: WhatIf

    @property
    def first(self) -> PeriodPlan:
        """Period that stands for the others."""
        return self.periods[0]


def plan_stretches(plan: Plan) -> tuple[Stretch, ...]:
    """Put together the periods of a plan that are alike."""
    return tuple(_stretch(plan, same) for same in alike_periods(plan))


def alike_periods(plan: Plan) -> list[list[PeriodPlan]]:
    """Group periods with the very same places, lenses and key moments, and coverage within a point."""
    groups: list[tuple[Targets, list[PeriodPlan]]] = []
    for period in plan.periods:
        targets = period_targets(plan.match, period.period)
        for asked, group in groups:
            if (
                same_places_and_lenses(group[0], period)
                and _covers_alike(group[0], period)
                and (same_targets(asked, targets))
            ):
                group.append(period)
                break
        else:
            groups.append((targets, [period]))
    return [group for _, group in groups]


def same_places_and_lenses(first: PeriodPlan, second: PeriodPlan) -> bool:
    """Do all cameras keep place and lens from one period to another."""
    pairs = zip(first.assignments, second.assignments, strict=True)
    return all((a.spot.id, a.lens.name) == (b.spot.id, b.lens.name) for a, b in pairs)


def _covers_alike(first: PeriodPlan, second: PeriodPlan) -> bool:
    pairs = [(first.coverage, second.coverage), *((first.by_moment[k], second.by_moment[k]) for k in first.by_moment)]
    return all(abs(a - b) < ALIKE for a, b in pairs)


def _stretch(plan: Plan, same: Sequence[PeriodPlan]) -> Stretch:
    match, first = plan.match, same[0]
    coverage_map = ground_map(match, ground_mesh(match, first.period), plan_stations(match, first))
    name = WHOLE if len(same) == len(plan.periods) else ", ".join(p.period.name for p in same)
    return Stretch(name, tuple(same), coverage_map, what_if(match, first))
