"""Where someone who walks may film from, and what each play is worth from there: one column a place.

Places of all heights and spots tried are many; those kept are the best of each small cell and the best for each
state of play. Bounds are proven on all of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Indices, Singles
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import Match
from standmark.optimizer.roam.plays import Plays, target_shares
from standmark.optimizer.value.targets import Targets

CELL_M = (2.0, 4.0)  # one place is kept in each square of this size: finer where breaks are short
SAME_SPOT_M = 0.005


@dataclass(frozen=True, eq=False)
class Stations:
    """Places on the ground with what plays are worth from them, for one choice of lens."""

    lenses: tuple[Lens, ...]  # what is carried
    row: Indices  # shape (n_places,), row of the grid at that height, with the first of the lenses
    xyz_m: Floats  # shape (n_places, 3), lens position at the height that is best on average
    area: Indices  # shape (n_places,), index into the match's allowed areas
    reward: Floats  # shape (n_states, n_places), at that height
    ceiling: Floats  # shape (n_states, n_places), at the best height for each state
    lens: Indices  # shape (n_states, n_places), index into lenses


@dataclass(frozen=True, eq=False)
class SceneTargets:
    """One stretch of the match: its targets, what each row is worth for each, and what the other cameras get."""

    targets: Targets
    quality: Singles  # shape (n_rows, n_targets)
    level: Singles  # shape (n_levels, n_targets), best quality of the other cameras, for each place of one that walks
    level_share: Singles  # shape (n_levels, n_states), how often it is there in each state; columns sum to 1


def play_worth(match: Match, plays: Plays, targets: Targets) -> Floats:
    """Worth of each target in one play of each state, shape (n_targets, n_states).

    Summed over plays as they occur it is the target's weight, so that averages per play are coverages.
    """
    return targets.weight[:, None] * target_shares(match, plays, targets) / plays.occupancy


def all_stations(match: Match, plays: Plays, stage: Stage, scene: SceneTargets, rows: Indices) -> list[Stations]:
    """Every place that the rows of a camera leave it, for each lens on its own.

    Parameters
    ----------
    rows : rows of the grid that the camera may take
    """
    grid = stage.grid
    worth = play_worth(match, plays, scene.targets).astype(np.float32)
    stations = []
    for number, outfit in enumerate(grid.rows.outfits):
        own = rows[rows // grid.rows.n_positions == number]
        if len(own):
            quality, reward = scene.quality[own], np.zeros((len(own), len(plays.index)))
            for level, share in zip(scene.level, scene.level_share, strict=True):
                reward += np.maximum(quality, level) @ (worth * share)
            stations.append(_by_place(outfit.lens, own, stage, reward, plays))
    return stations


def with_every_lens(stations: Sequence[Stations]) -> Stations:
    """Carry every lens on a body of its own: for each play the best one, at the places that all reach."""
    first = stations[0]
    reward = np.array([s.reward for s in stations])
    return Stations(
        lenses=tuple(lens for s in stations for lens in s.lenses),
        row=first.row,
        xyz_m=first.xyz_m,
        area=first.area,
        reward=reward.max(axis=0),
        ceiling=np.max([s.ceiling for s in stations], axis=0),
        lens=reward.argmax(axis=0),
    )


def _by_place(lens: Lens, rows: Indices, stage: Stage, reward: Floats, plays: Plays) -> Stations:
    position = rows % stage.grid.rows.n_positions
    xyz_m, area = stage.grid.candidates.xyz_m[position], stage.grid.candidates.area[position]
    _, place = np.unique((xyz_m[:, :2] / SAME_SPOT_M).round(), axis=0, return_inverse=True)
    mean = reward @ plays.occupancy
    order = np.lexsort((-mean, place))
    first = np.flatnonzero(np.diff(place[order], prepend=-1))
    best = order[first]
    ceiling = np.full((len(best), reward.shape[1]), -np.inf)
    np.maximum.at(ceiling, place, reward)
    return Stations(
        lenses=(lens,),
        row=rows[best],
        xyz_m=xyz_m[best],
        area=area[best],
        reward=np.ascontiguousarray(reward[best].T),
        ceiling=np.ascontiguousarray(ceiling.T),
        lens=np.zeros((reward.shape[1], len(best)), dtype=np.intp),
    )


def wanted_places(stations: Stations, plays: Plays, *, reach_m: float) -> Indices:
    """Places worth keeping: the best of each cell on average, and the best of all for each state of play.

    Parameters
    ----------
    reach_m : walk in the shortest break; three cells long, so that little of it is lost between places
    """
    cell = np.floor(stations.xyz_m[:, :2] / np.clip(reach_m / 3, *CELL_M))
    _, cell_of = np.unique(np.column_stack([stations.area, cell]), axis=0, return_inverse=True)
    mean = plays.occupancy @ stations.reward
    order = np.lexsort((-mean, cell_of))
    best_of_cell = order[np.flatnonzero(np.diff(cell_of[order], prepend=-1))]
    return np.unique(np.concatenate([best_of_cell, stations.reward.argmax(axis=1), [mean.argmax()]]))


def some_places(stations: Stations, kept: Indices) -> Stations:
    """Only some of the places."""
    return Stations(
        stations.lenses,
        stations.row[kept],
        stations.xyz_m[kept],
        stations.area[kept],
        stations.reward[:, kept],
        stations.ceiling[:, kept],
        stations.lens[:, kept],
    )
