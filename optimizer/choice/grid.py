"""What every position is worth for every picture a match asks for; equal pictures are computed and kept once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.optimizer.choice.candidates import Candidates
from standmark.optimizer.choice.memory import Memory
from standmark.optimizer.choice.rows import match_rows
from standmark.optimizer.match.match import Match
from standmark.optimizer.value.outfit import Outfit, Rows
from standmark.optimizer.value.quality import Surroundings, quality_matrix
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import Targets, period_targets, same_places, same_targets
from standmark.sports.sport import Period


@dataclass(frozen=True, eq=False)
class StageTask:
    """What one stage asks: its periods, what has to be seen in them, and what the ground adds to the view.

    Periods that ask for the same work in the same light ask once, for as long as they last together.
    """

    periods: tuple[Period, ...]
    targets: tuple[Targets, ...]  # all that differ
    around: tuple[Surroundings, ...]  # of each of these
    asks: tuple[int, ...]  # for each period, which of these it asks for

    @property
    def minutes(self) -> float:
        """Length of all its periods together."""
        return sum(p.minutes for p in self.periods)

    @property
    def shares(self) -> Floats:
        """Share of its length for which each of its targets are asked for, shape (n_different,)."""
        shares: Floats = np.bincount(self.asks, [p.minutes for p in self.periods], len(self.targets)) / self.minutes
        return shares

    @property
    def by_period(self) -> Iterator[tuple[Period, Targets, Surroundings]]:
        """What each period asks for."""
        return ((p, self.targets[i], self.around[i]) for p, i in zip(self.periods, self.asks, strict=True))

    def periods_of(self, index: int) -> tuple[Period, ...]:
        """Periods that ask for one of its targets."""
        return tuple(p for p, i in zip(self.periods, self.asks, strict=True) if i == index)

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
        stage_task((p, period_targets(match, p), period_surroundings(match, p)) for p in periods)
        for periods in stage_periods(match)
    ]


def stage_task(parts: Iterable[tuple[Period, Targets, Surroundings]]) -> StageTask:
    """Put periods into one stage, each with what it asks for and what stands around that."""
    periods: list[Period] = []
    asked: list[tuple[Targets, Surroundings]] = []
    asks: list[int] = []
    for period, targets, around in parts:
        same = (i for i, (t, a) in enumerate(asked) if a == around and same_targets(t, targets))
        asks.append(next(same, len(asked)))
        periods.append(period)
        if asks[-1] == len(asked):
            asked.append((targets, around))
    return StageTask(tuple(periods), tuple(t for t, _ in asked), tuple(a for _, a in asked), tuple(asks))


def stage_periods(match: Match) -> list[tuple[Period, ...]]:
    """Group periods that share one choice of places: a new group wherever cameras may move and the rules let them."""
    stages: list[list[Period]] = [[]]
    for period in match.sport.periods:
        stages[-1].append(period)
        if period.may_move_after and match.rules.moves != "never":
            stages.append([])
    return [tuple(s) for s in stages if s]


def quality_grid(
    match: Match,
    tasks: Sequence[StageTask],
    candidates: Candidates,
    *,
    known: Grid | None = None,
    memory: Memory | None = None,
    rows: Rows | None = None,
) -> Grid:
    """Work out what every row is worth for every task.

    Parameters
    ----------
    known : a grid of the same match and tasks whose positions are the first ones of `candidates`
    memory : what earlier plans worked out; None: nothing
    rows : of these candidates, where they are not those of the match
    """
    memory = Memory() if memory is None else memory
    rows = match_rows(match, candidates) if rows is None else rows
    pictures: list[PictureQuality] = []
    for targets, around in distinct_pictures(tasks):
        old = None if known is None else _find(known.pictures, targets, around)
        quality = _row_quality(match, candidates, rows, (targets, around), old=old, memory=memory)
        pictures.append(PictureQuality(targets, around, quality))
    return Grid(candidates, rows, tuple(pictures))


def distinct_pictures(tasks: Sequence[StageTask]) -> list[tuple[Targets, Surroundings]]:
    """List what tasks ask for and what stands around it, once where periods ask for the same pictures."""
    found: list[tuple[Targets, Surroundings]] = []
    for task in tasks:
        for targets, around in zip(task.targets, task.around, strict=True):
            if not any(a == around and same_places(t, targets) for t, a in found):
                found.append((targets, around))
    return found


def task_quality(grid: Grid, task: StageTask) -> Singles:
    """Quality of all rows of a grid for one task, its targets side by side; not copied where periods ask the same."""
    qualities = [_find(grid.pictures, t, a) for t, a in zip(task.targets, task.around, strict=True)]
    parts = [picture.quality for picture in qualities if picture is not None]
    return parts[0] if len(parts) == 1 else np.hstack(parts)


def spot_quality(match: Match, task: StageTask, xyz_m: Floats, outfits: Sequence[Outfit]) -> Singles:
    """Quality of any positions with each of some outfits, for one task, its targets side by side.

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


def known_quality(memory: Memory, match: Match, task: StageTask, xyz_m: Floats, outfits: Sequence[Outfit]) -> Singles:
    """Quality of single spots, as `spot_quality` gives it, from memory as far as they are known."""
    parts = [
        memory.spots(xyz_m, t, outfits, wish=match.deliverable, around=a)
        for t, a in zip(task.targets, task.around, strict=True)
    ]
    return parts[0] if len(parts) == 1 else np.concatenate(parts, axis=2)


def _find(pictures: Sequence[PictureQuality], targets: Targets, around: Surroundings) -> PictureQuality | None:
    return next((k for k in pictures if k.around == around and same_places(k.targets, targets)), None)


def _row_quality(
    match: Match,
    candidates: Candidates,
    rows: Rows,
    picture: tuple[Targets, Surroundings],
    *,
    old: PictureQuality | None,
    memory: Memory,
) -> Singles:
    (targets, around), n, wish = picture, len(rows.outfits), match.deliverable
    if old is None:
        whole = memory.grid(candidates.xyz_m, targets, rows.outfits, wish=wish, around=around)
        return whole.reshape(-1, whole.shape[2])
    known = old.quality.reshape(n, -1, old.quality.shape[1])
    if known.shape[1] == len(candidates.xyz_m):
        return old.quality
    fresh = memory.spots(candidates.xyz_m[known.shape[1] :], targets, rows.outfits, wish=wish, around=around)
    return np.concatenate([known, fresh], axis=1).reshape(-1, known.shape[2])
