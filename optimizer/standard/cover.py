"""What standard positions cover, each alone and all together, by the one value model of the plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.match.match import Match
from standmark.optimizer.value.outfit import Rows
from standmark.optimizer.value.quality import Surroundings, quality_matrix
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import Targets, moment_shares, period_targets, same_places
from standmark.optimizer.work.assignment import Station
from standmark.sports.timeline import length_shares


@dataclass(frozen=True)
class Cover:
    """Shares of what matters, weighted by the length of the periods."""

    alone: tuple[float, ...]  # one for each station
    by_moment: tuple[dict[str, float], ...]  # one for each station
    together: float  # captured usably by at least one of them


def cover(match: Match, stations: Sequence[Station]) -> Cover:
    """Say what cameras at given places cover in the whole match."""
    alone = np.zeros(len(stations))
    by_moment: list[dict[str, float]] = [{} for _ in stations]
    together = 0.0
    known: list[tuple[Targets, Surroundings, Floats]] = []
    periods = match.sport.periods if stations else ()
    for period, share in zip(periods, length_shares(periods).tolist(), strict=True):
        targets = period_targets(match, period)
        quality = _quality(match, stations, targets, period_surroundings(match, period), known)
        alone += share * (quality @ targets.weight)
        together += share * float(targets.weight @ quality.max(axis=0))
        for own, row in zip(by_moment, quality, strict=True):
            for key, value in moment_shares(targets, row).items():
                own[key] = own.get(key, 0.0) + share * value
    return Cover(tuple(float(v) for v in alone), tuple(by_moment), together)


def _quality(
    match: Match,
    stations: Sequence[Station],
    targets: Targets,
    around: Surroundings,
    known: list[tuple[Targets, Surroundings, Floats]],
) -> Floats:
    """Quality of every station for every target, shape (n_stations, n_targets); periods alike are done once."""
    for earlier, its_around, quality in known:
        if its_around == around and same_places(earlier, targets):
            return quality
    positions_m = np.array([[s.spot.x_m, s.spot.y_m, s.spot.z_m] for s in stations])
    outfits = tuple(dict.fromkeys(s.outfit for s in stations))
    rows = Rows(outfits, len(stations), ())
    every = quality_matrix(positions_m, targets, rows=rows, deliverable=match.deliverable, around=around)
    own = [outfits.index(s.outfit) * len(stations) + i for i, s in enumerate(stations)]
    quality = every[own].astype(np.float64)
    known.append((targets, around, quality))
    return quality
