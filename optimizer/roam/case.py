"""One choice of lens to walk with, in every scene of a match: processes, their best policies, their bounds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Indices
from standmark.optimizer.roam.plays import Plays
from standmark.optimizer.roam.process import Average, Process, Solution, average, solve
from standmark.optimizer.roam.stations import Stations, some_places, wanted_places

PROOF_SWEEPS = 200  # over all places tried, from the values of those kept
ROUGH = 1e-3  # bounds of lenses that are only compared
DEARER = 1.5  # step of the price of a metre while too many are walked
MOST_STEPS = 24


@dataclass(frozen=True, eq=False)
class LensCase:
    """What one choice of lens makes of a match; the same places in every scene."""

    plays: Plays
    stations: tuple[Stations, ...]  # one for each scene, all places tried
    share: Floats  # shape (n_scenes,), of the match
    speed_m_s: float
    distance_m: Floats  # shape (n_all, n_all)
    kept: Indices  # places that policies use
    in_time: Callable[[], None] = lambda: None  # called now and then; what it raises ends the work

    def process(self, scene: int, price: float) -> Process:
        """Process over the places kept; `price` is coverage of the match for a kilometre."""
        few = some_places(self.stations[scene], self.kept)
        return self._process(few.reward, self.distance_m[np.ix_(self.kept, self.kept)], price)

    def whole_process(self, scene: int) -> Process:
        """Process over all places tried, each at the height that is best for each play, walking for nothing."""
        return self._process(self.stations[scene].ceiling, self.distance_m, 0.0)

    def _process(self, reward: Floats, distance_m: Floats, price: float) -> Process:
        plays = self.plays
        per_m = price / 1000 * plays.flow.plays_per_match
        return Process(reward, plays.chance, self.speed_m_s * plays.walk_s, distance_m, per_m)


def case_of(
    plays: Plays,
    stations: tuple[Stations, ...],
    share: Floats,
    *,
    speed_m_s: float,
    distance_m: Floats,
    in_time: Callable[[], None] = lambda: None,
) -> LensCase:
    """Make a case, and choose the places that policies use."""
    kept = np.unique(
        np.concatenate([wanted_places(s, plays, reach_m=float(speed_m_s * plays.walk_s.min())) for s in stations])
    )
    return LensCase(plays, stations, share, speed_m_s, distance_m, kept, in_time)


def solve_scenes(case: LensCase, price: float, *, proof: float, near: list[Solution] | None = None) -> list[Solution]:
    """Best policy of each scene.

    Parameters
    ----------
    near : solutions of a problem like this one, to start from
    """
    case.in_time()
    starts = [None] * len(case.stations) if near is None else [s.value for s in near]
    return [solve(case.process(i, price), proof=proof, value=start) for i, start in enumerate(starts)]


def averages(case: LensCase, solutions: list[Solution]) -> list[Average]:
    """Averages of the best policies."""
    return [average(case.process(i, 0.0), s.policy) for i, s in enumerate(solutions)]


def walked_m(case: LensCase, told: list[Average]) -> float:
    """Metres walked in a match."""
    return float(case.share @ [a.walked_m for a in told]) * case.plays.flow.plays_per_match


def price_within(case: LensCase, price: float, most_m: float | None) -> float:
    """Least price, from the given one up, at which no more is walked in a match than allowed."""
    for _ in range(MOST_STEPS):
        if most_m is None or walked_m(case, averages(case, solve_scenes(case, price, proof=ROUGH))) <= most_m:
            break
        price = max(price, 0.001) * DEARER
    return price


def upper_bound(case: LensCase, scene: int) -> float:
    """Bound on coverage in a scene: no policy over all places tried has more, however far it walks in the breaks."""
    case.in_time()
    free = solve(case.process(scene, 0.0))
    whole = case.whole_process(scene)
    start = np.empty_like(whole.reward)
    nearest = case.kept[case.distance_m[:, case.kept].argmin(axis=1)]
    column = np.searchsorted(case.kept, nearest)
    start[:] = free.value[:, column]
    return min(
        solve(whole, value=start, most_sweeps=PROOF_SWEEPS, proof=ROUGH).upper,
        float(whole.occupancy @ whole.reward.max(axis=1)),
    )
