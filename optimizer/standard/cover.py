"""What standard positions cover, each alone and all together, by the one value model of the plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.match.match import Match
from standmark.optimizer.standard.zone_cells import zone_cells
from standmark.optimizer.value.quality import Surroundings
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import Targets, moment_shares, period_targets, same_places
from standmark.optimizer.work.assignment import Station, stations_factors
from standmark.optimizer.work.duty import faces_share
from standmark.sports.timeline import length_shares


@dataclass(frozen=True)
class Cover:
    """Shares of the whole match, weighted by the length of the periods; the tuples hold one for each station."""

    alone: tuple[float, ...]
    by_moment: tuple[dict[str, float], ...]
    seen: tuple[float, ...]  # captured usably
    faces: tuple[float, ...]  # of that, with faces
    together: float  # value of all of them
    together_seen: float  # captured usably by at least one of them
    together_faces: float


def cover(match: Match, stations: Sequence[Station]) -> Cover:
    """Say what cameras at given places cover in the whole match."""
    alone = np.zeros((3, len(stations)))  # value, seen, seen with faces
    together = np.zeros(3)
    by_moment: list[dict[str, float]] = [{} for _ in stations]
    known: list[tuple[Targets, Surroundings, Floats]] = []
    periods = match.sport.periods if stations else ()
    for period, share in zip(periods, length_shares(periods).tolist(), strict=True):
        targets = period_targets(match, period, sample=zone_cells)
        worths = _worths(match, stations, targets, period_surroundings(match, period), known)
        alone += share * (worths @ targets.weight)
        together += share * (worths.max(axis=1) @ targets.weight)
        for own, row in zip(by_moment, worths[0], strict=True):
            for key, value in moment_shares(targets, row).items():
                own[key] = own.get(key, 0.0) + share * value
    values, seen, shown = alone.tolist()
    whole, whole_seen, whole_shown = together.tolist()
    return Cover(
        alone=tuple(values),
        by_moment=tuple(by_moment),
        seen=tuple(seen),
        faces=tuple(faces_share(*pair) for pair in zip(seen, shown, strict=True)),
        together=whole,
        together_seen=whole_seen,
        together_faces=faces_share(whole_seen, whole_shown),
    )


def _worths(
    match: Match,
    stations: Sequence[Station],
    targets: Targets,
    around: Surroundings,
    known: list[tuple[Targets, Surroundings, Floats]],
) -> Floats:
    """Value, seen, and seen with faces of every station for every target, shape (3, n_stations, n_targets).

    Periods alike are done once.
    """
    for earlier, its_around, worths in known:
        if its_around == around and same_places(earlier, targets):
            return worths
    factors = stations_factors(match, stations, targets, around=around)
    worths = np.array([[f.quality for f in factors], [f.seen for f in factors], [f.shown for f in factors]])
    known.append((targets, around, worths))
    return worths
