"""What every position is worth for every picture a match asks for; equal pictures are computed and kept once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.optimizer.choice.candidates import Candidates
from standmark.optimizer.choice.rows import match_rows
from standmark.optimizer.match.match import Match
from standmark.optimizer.value.outfit import Outfit, Rows
from standmark.optimizer.value.quality import Surroundings, quality_matrix
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import Targets, period_targets, same_places
from standmark.sports.sport import Period


@dataclass(frozen=True, eq=False)
class StageTask:
    """What one stage asks: its periods, what has to be seen in each, and what the ground adds to the view."""

    periods: tuple[Period, ...]
    targets: tuple[Targets, ...]  # one for each period
    around: tuple[Surroundings, ...]

    @property
    def minutes(self) -> float:
        """Length of all its periods together."""
        return sum(p.minutes for p in self.periods)

    @property
    def name(self) -> str:
        """Names of its periods."""
        return ", ".join(p.name for p in self.periods)


@dataclass(frozen=True, eq=False)
class PictureQuality:
    """Quality of all rows for the targets of one or more periods that ask for the same pictures in the same light."""

    targets: Targets
    around: Surroundings
    quality: Singles  # shape (n_rows, n_targets)


@dataclass(frozen=True, eq=False)
class Grid:
    """Positions that all stages of a match share, the rows on them, and what each row is worth."""

    candidates: Candidates
    rows: Rows
    pictures: tuple[PictureQuality, ...]


def match_tasks(match: Match) -> list[StageTask]:
    """Lay out what a match asks, stage by stage."""
    return [
        StageTask(
            periods,
            tuple(period_targets(match, p) for p in periods),
            tuple(period_surroundings(match, p) for p in periods),
        )
        for periods in stage_periods(match)
    ]


def stage_periods(match: Match) -> list[tuple[Period, ...]]:
    """Group periods that share one choice of places: a new group wherever cameras may move and the rules let them."""
    stages: list[list[Period]] = [[]]
    for period in match.sport.periods:
        stages[-1].append(period)
        if period.may_move_after and match.rules.moves != "never":
            stages.append([])
    return [tuple(s) for s in stages if s]


def quality_grid(
    match: Match, tasks: Sequence[StageTask], candidates: Candidates, *, known: Grid | None = None
) -> Grid:
    """Work out what every row is worth for every task.

    Parameters
    ----------
    known : a grid of the same match and tasks whose positions are the first ones of `candidates`
    """
    rows = match_rows(match, candidates)
    pictures: list[PictureQuality] = []
    for task in tasks:
        for targets, around in zip(task.targets, task.around, strict=True):
            if _find(pictures, targets, around) is None:
                old = None if known is None else _find(known.pictures, targets, around)
                quality = _row_quality(match, candidates, rows, targets, around, old)
                pictures.append(PictureQuality(targets, around, quality))
    return Grid(candidates, rows, tuple(pictures))


def task_quality(grid: Grid, task: StageTask) -> Singles:
    """Quality of all rows of a grid for one task, its periods side by side; not copied for a single period."""
    found = [_find(grid.pictures, t, a) for t, a in zip(task.targets, task.around, strict=True)]
    parts = [picture.quality for picture in found if picture is not None]
    return parts[0] if len(parts) == 1 else np.hstack(parts)


def spot_quality(match: Match, task: StageTask, xyz_m: Floats, outfits: Sequence[Outfit]) -> Singles:
    """Quality of any positions with each of some outfits, for one task, its periods side by side.

    Returns
    -------
    shape (n_outfits, n_positions, n_targets)
    """
    rows = Rows(tuple(outfits), len(xyz_m), ())
    parts = [
        quality_matrix(xyz_m, t, rows=rows, deliverable=match.deliverable, around=a)
        for t, a in zip(task.targets, task.around, strict=True)
    ]
    return np.hstack(parts).reshape(len(outfits), len(xyz_m), -1)


class SpotMemory:
    """Quality of single spots, kept while a match is planned: climbs pass the same spots again and again."""

    def __init__(self, match: Match) -> None:
        self.match = match
        self.known: dict[tuple[object, ...], Singles] = {}
        self.pictures: list[tuple[Targets, Surroundings]] = []

    def quality(self, task: StageTask, xyz_m: Floats, outfits: Sequence[Outfit]) -> Singles:
        """Quality of positions, as `spot_quality` gives it."""
        picture = tuple(self._picture_of(t, a) for t, a in zip(task.targets, task.around, strict=True))
        keys = [(picture, tuple(outfits), *map(float, p)) for p in xyz_m]
        fresh = [i for i, key in enumerate(keys) if key not in self.known]
        if fresh:
            quality = spot_quality(self.match, task, xyz_m[fresh], outfits)
            self.known.update((keys[i], quality[:, n]) for n, i in enumerate(fresh))
        return np.stack([self.known[key] for key in keys], axis=1)

    def _picture_of(self, targets: Targets, around: Surroundings) -> int:
        for index, (known, near) in enumerate(self.pictures):
            if near == around and (known is targets or same_places(known, targets)):
                return index
        self.pictures.append((targets, around))
        return len(self.pictures) - 1


def _find(pictures: Sequence[PictureQuality], targets: Targets, around: Surroundings) -> PictureQuality | None:
    return next((k for k in pictures if k.around == around and same_places(k.targets, targets)), None)


def _row_quality(
    match: Match, candidates: Candidates, rows: Rows, targets: Targets, around: Surroundings, old: PictureQuality | None
) -> Singles:
    n, width = len(rows.outfits), len(targets.weight)
    n_known = 0 if old is None else len(old.quality) // n
    fresh = quality_matrix(candidates.xyz_m[n_known:], targets, rows=rows, deliverable=match.deliverable, around=around)
    if old is None:
        return fresh
    both = [old.quality.reshape(n, -1, width), fresh.reshape(n, -1, width)]
    return np.concatenate(both, axis=1).reshape(-1, width)
