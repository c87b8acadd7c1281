"""Positions chosen by hand, scored by the very definition that a plan uses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.choice.grid import stage_periods
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan, total_coverage, total_faces, total_seen
from standmark.optimizer.value.quality import Surroundings
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import Targets, period_targets, same_targets
from standmark.optimizer.work.assignment import (
    PeriodPlan,
    Station,
    period_plan,
    plan_stations,
    station_factors,
    stations_factors,
)
from standmark.optimizer.work.duty import faces_share
from standmark.sports.sport import Period
from standmark.sports.timeline import length_shares

Stations = tuple[Station, ...]  # one for each camera, in the match's order


@dataclass(frozen=True, eq=False)
class PeriodTask:
    """What has to be filmed in one period, and what the ground adds to the view."""

    period: Period
    targets: Targets
    around: Surroundings


@dataclass(frozen=True)
class Score:
    """What chosen positions cover, in the same terms as a plan."""

    match: Match
    periods: tuple[PeriodPlan, ...]
    coverage: float  # weighted by the length of the periods, as seen and faces are
    seen: float
    faces: float


def period_tasks(match: Match) -> tuple[PeriodTask, ...]:
    """Targets and surroundings of every period, in the order of the match."""
    return tuple(PeriodTask(p, period_targets(match, p), period_surroundings(match, p)) for p in match.sport.periods)


def choice_score(match: Match, choice: Sequence[Stations], *, tasks: Sequence[PeriodTask] | None = None) -> Score:
    """Say what chosen positions cover.

    Parameters
    ----------
    choice : for each period of the match, one station for each camera
    tasks : of the match, if they are known already

    Returns
    -------
    the same numbers that `plan` gives for the same positions, whether or not the rules allow them
    """
    periods = tuple(
        period_plan(match, task.period, stations, targets=task.targets, around=task.around)
        for task, stations in zip(tasks or period_tasks(match), choice, strict=True)
    )
    return Score(match, periods, total_coverage(periods), total_seen(periods), total_faces(periods))


def choice_shares(match: Match, choice: Sequence[Stations], tasks: Sequence[PeriodTask]) -> tuple[float, float, float]:
    """Coverage, and what is seen and shows faces, of chosen positions as `choice_score` gives them, and no more.

    Periods that ask the same of the same stations are worked out once.
    """
    known: list[tuple[PeriodTask, Stations, tuple[float, float, float]]] = []
    for task, stations in zip(tasks, choice, strict=True):
        twin = next((got for t, s, got in known if s == stations and _asks_the_same(t, task)), None)
        known.append((task, stations, twin or _shares(match, task, stations)))
    parts = length_shares(task.period for task in tasks)
    coverage, seen, faces = np.array([got for _, _, got in known]).T
    whole = float(parts @ seen)
    return float(parts @ coverage), whole, faces_share(whole, float(parts @ (seen * faces)))


def _asks_the_same(task: PeriodTask, other: PeriodTask) -> bool:
    return task.around == other.around and same_targets(task.targets, other.targets)


def _shares(match: Match, task: PeriodTask, stations: Stations) -> tuple[float, float, float]:
    factors = stations_factors(match, stations, task.targets, around=task.around)
    quality, seen, shown = (
        float(task.targets.weight @ np.max([getattr(own, part) for own in factors], axis=0))
        for part in ("quality", "seen", "shown")
    )
    return quality, seen, faces_share(seen, shown)


def plan_choice(plan: Plan) -> tuple[Stations, ...]:
    """Return the stations of a plan, by period."""
    return tuple(plan_stations(plan.match, period) for period in plan.periods)


def station_quality(match: Match, station: Station, task: PeriodTask) -> Floats:
    """Quality of one camera for every target of a period, shape (n_targets,)."""
    return station_factors(match, station, task.targets, around=task.around).quality


def best_lenses(match: Match, task: PeriodTask, options: Sequence[Sequence[Station]]) -> Stations:
    """Choose for every camera among stations that differ in their lens, so that all together cover most.

    Parameters
    ----------
    options : for each camera the stations to choose from; every combination is tried, the first wins a tie
    """
    quality = [[station_quality(match, station, task) for station in stations] for stations in options]
    chosen = max(
        product(*(range(len(stations)) for stations in options)),
        key=lambda picks: float(
            task.targets.weight @ np.max([quality[camera][pick] for camera, pick in enumerate(picks)], axis=0)
        ),
    )
    return tuple(stations[pick] for stations, pick in zip(options, chosen, strict=True))


def choice_stages(match: Match, choice: Sequence[Stations]) -> list[list[int]]:
    """Group the periods between which nobody moves: the match's stages, cut again where a choice changes anyway.

    Returns
    -------
    indices of periods
    """
    groups: list[list[int]] = []
    first = 0
    for stage in stage_periods(match):
        for index in range(first, first + len(stage)):
            if index == first or choice[index] != choice[index - 1]:
                groups.append([])
            groups[-1].append(index)
        first += len(stage)
    return groups
