"""What standard positions cover, each alone and all together, by the one value model of the plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standmark.optimizer.assignment import Station, station_factors
from standmark.optimizer.match import Match
from standmark.optimizer.surroundings import period_surroundings
from standmark.optimizer.targets import moment_shares, period_targets


@dataclass(frozen=True)
class Cover:
    """Shares of what matters, weighted by the length of the periods."""

    alone: tuple[float, ...]  # one for each station
    by_moment: tuple[dict[str, float], ...]  # one for each station
    together: float  # captured usably by at least one of them


def cover(match: Match, stations: Sequence[Station]) -> Cover:
    """Say what cameras at given places cover in the whole match."""
    total_min = sum(period.minutes for period in match.sport.periods)
    alone = np.zeros(len(stations))
    by_moment: list[dict[str, float]] = [{} for _ in stations]
    together = 0.0
    for period in match.sport.periods if stations else ():
        share = period.minutes / total_min
        targets = period_targets(match, period)
        around = period_surroundings(match, period)
        quality = np.array([station_factors(match, s, targets, around=around).quality for s in stations])
        alone += share * (quality @ targets.weight)
        together += share * float(targets.weight @ quality.max(axis=0))
        for own, row in zip(by_moment, quality, strict=True):
            for key, value in moment_shares(targets, row).items():
                own[key] = own.get(key, 0.0) + share * value
    return Cover(tuple(float(v) for v in alone), tuple(by_moment), together)
