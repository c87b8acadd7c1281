"""What has to be seen: the key moments of one period, sampled over their zones."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from functools import lru_cache, partial
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Floats, Indices
from standmark.geometry.kept import kept
from standmark.geometry.view.held import CATCH_UP_S, LONG_FLIGHT_CATCH_UP_S
from standmark.optimizer.match.match import Match
from standmark.sports.sport import Facing, KeyMoment, Period

Sampler = Callable[[BaseGeometry], tuple[Floats, Floats]]  # zone -> points (n, 2), shares (n,) that sum to 1
Columns = dict[str, NDArray[Any]]
MOST_CELLS = 4096  # of the box round a zone: a thin strip that lies askew is cut more coarsely than asked
CELLS_PER_ZONE = 16  # half the step (64 cells) moves coverage by at most 0.1 points, and under half a point by test
LEAST_SHARE = 1e-9  # of a zone: a cell that holds less of it is left out


@dataclass(frozen=True, eq=False)
class Targets:
    """One row for each sampled place of a key moment; weights sum to 1 over the period."""

    xyz_m: Floats  # shape (n, 3), middle of the action
    weight: Floats  # shape (n,)
    moment: Indices  # shape (n,), index into moment_keys
    moment_keys: tuple[str, ...]
    attack_x: NDArray[np.int8]  # shape (n,), its side attacks toward: +1 +x, -1 -x; 0 for both sides alike
    facing_rad: Floats  # shape (n,), mean direction the faces look
    facing_pull: Floats  # shape (n,), exp(-spread^2 / 2): 1 one direction, 0 any direction
    faces_matter: Floats  # shape (n,), 0..1
    extent_m: Floats  # shape (n, 2), width and height to hold
    subject_m: Floats  # shape (n,), height of the subject
    feet_m: Floats  # shape (n,), how high its feet are: over 0 where it leaps
    speed_m_s: Floats  # shape (n,)
    jump_share: Floats  # shape (n,), share of the moments to which play has just jumped
    jump_m_s: Floats  # shape (n, 2), how fast it jumps along and across the attack
    catch_up_s: Floats  # shape (n,), what the operator's lag is at least
    crowd_per_m2: Floats  # shape (n,)
    crowd_radius_m: Floats  # shape (n,)
    crowd_lean: Floats  # shape (n,), -1..1: + people stand on the side that the subject faces
    beyond_per_m2: Floats  # shape (n,), people further away than that


@lru_cache(maxsize=4096)  # the same zone serves both ends, both halves and every ground of a size; 4 MB when full
def sample_zone(shape: BaseGeometry, *, cells: int = CELLS_PER_ZONE) -> tuple[Floats, Floats]:
    """Cut a zone into square cells and give each cell's centroid and its share of the zone's area.

    The cells are clipped to the zone, so areas and centroids are exact and a smooth quality is
    integrated with second-order accuracy.

    Parameters
    ----------
    shape : a polygon or several, with an area above 0
    cells : wanted number of cells

    Returns
    -------
    xy_m, shape (n, 2), and share, shape (n,), which sums to 1
    """
    edges_x, edges_y = cell_edges_m(shape, cells)
    x, y = np.meshgrid(edges_x[:-1], edges_y[:-1], indexing="ij")
    boxes = shapely.box(x.ravel(), y.ravel(), x.ravel() + edges_x[1] - edges_x[0], y.ravel() + edges_y[1] - edges_y[0])
    shapely.prepare(shape)
    clipped = shapely.intersection(boxes[shapely.intersects(shape, boxes)], shape)
    area = shapely.area(clipped)
    kept = area > LEAST_SHARE * shape.area
    xy_m, share = shapely.get_coordinates(shapely.centroid(clipped[kept])), area[kept] / area[kept].sum()
    xy_m.flags.writeable = share.flags.writeable = False
    return xy_m, share


def cell_edges_m(shape: BaseGeometry, cells: int) -> tuple[Floats, Floats]:
    """Edges along x and along y of the cells that a zone is cut into."""
    low_x, low_y, high_x, high_y = shape.bounds
    step_m = math.sqrt(max(shape.area / cells, (high_x - low_x) * (high_y - low_y) / MOST_CELLS))
    n_x = max(1, math.ceil((high_x - low_x) / step_m))
    n_y = max(1, math.ceil((high_y - low_y) / step_m))
    return np.linspace(low_x, high_x, n_x + 1), np.linspace(low_y, high_y, n_y + 1)


def period_targets(
    match: Match, period: Period, *, cells: int = CELLS_PER_ZONE, sample: Sampler | None = None
) -> Targets:
    """Sample the key moments of one period, for both sides and the ends they attack in it.

    The weight of a moment is rate x importance x weight of the side x the deliverable's factor;
    zones share it by their own weights, cells by area. All weights together are 1.

    Parameters
    ----------
    cells : wanted number of cells in each zone
    sample : another way to lay points in a zone, in place of `sample_zone`
    """
    if sample is None:
        return _kept_targets(match, period, cells)
    return _sampled(match, period, sample)


@kept(16)
def _kept_targets(match: Match, period: Period, cells: int) -> Targets:
    return _sampled(match, period, partial(sample_zone, cells=cells))


def _sampled(match: Match, period: Period, sample: Sampler) -> Targets:
    laid = []
    for index, moment in enumerate(match.sport.moments):
        worth = moment_weight(match, moment)
        turned = [(side, weight) for side, side_weight in turns(match, period, sided=moment.sided)
                  if (weight := worth * side_weight) > 0]  # fmt: skip
        if turned:
            xy_m, share = _moment_places(moment, sample)
            laid += [_Laid(moment, index, xy_m, weight * share / share.sum(), side) for side, weight in turned]
    columns = _columns(laid)
    columns["weight"] = columns["weight"] / columns["weight"].sum()
    return Targets(moment_keys=tuple(m.key for m in match.sport.moments), **columns)


def moment_weight(match: Match, moment: KeyMoment) -> float:
    """Worth of a kind of moment before sides are weighed: rate x importance, as the deliverable bends it."""
    wish = match.deliverable
    importance = moment.importance ** (1.0 - wish.evenness) if moment.importance > 0 else 0.0
    return moment.rate_per_match * importance * (1.0 if moment.is_play else wish.off_play_scale)


def moment_weights(match: Match) -> dict[str, float]:
    """Share of the weight of every period that each kind of moment has, for the deliverable and sides asked for."""
    period = match.sport.periods[0]  # sides change with the period, what they weigh together does not
    weights = {
        moment.key: moment_weight(match, moment) * sum(w for _, w in turns(match, period, sided=moment.sided))
        for moment in match.sport.moments
    }
    total = sum(weights.values())
    return {key: weight / total for key, weight in weights.items()}


def turns(match: Match, period: Period, *, sided: bool) -> list[tuple[bool, float]]:
    """Say how a moment, described for an attack toward +x, is laid on the ground in this period.

    Returns
    -------
    pairs (turned by 180 degrees, weight of the side that is worth); weights of equal turns are added
    """
    if not sided:
        return [(False, 1.0)]
    ours, theirs = 0.5, 0.5 * (match.other_side_weight if match.cover == "ours" else 1.0)
    if period.attack == "same":
        return [(False, ours + theirs)]
    if period.attack == "both" or match.first_attack == "unknown":
        return [(False, (ours + theirs) / 2), (True, (ours + theirs) / 2)]
    is_turned = (match.first_attack == "-x") != (period.attack == "swapped")
    return sorted([(is_turned, ours), (not is_turned, theirs)])


def same_targets(first: Targets, second: Targets) -> bool:
    """Are two periods the same work, column by column."""
    return same_places(first, second) and np.array_equal(first.weight, second.weight)


def same_places(first: Targets, second: Targets) -> bool:
    """Do two periods ask for the same pictures, column by column, whatever each is worth."""
    names = [f.name for f in fields(Targets) if f.name != "weight"]
    return all(np.array_equal(getattr(first, name), getattr(second, name)) for name in names)


def moment_shares(targets: Targets, quality: Floats) -> dict[str, float]:
    """Weighted mean of a quality over the targets of each kind of moment that occurs in the period."""
    n = len(targets.moment_keys)
    weight = np.bincount(targets.moment, targets.weight, minlength=n)
    covered = np.bincount(targets.moment, targets.weight * quality, minlength=n)
    return {key: float(covered[i] / weight[i]) for i, key in enumerate(targets.moment_keys) if weight[i] > 0}


def _moment_places(moment: KeyMoment, sample: Sampler) -> tuple[Floats, Floats]:
    """Places of a moment for an attack toward +x, shape (n, 2), and the share of each, shape (n,)."""
    samples = [(sample(zone.shape), zone.weight) for zone in moment.zones]
    xy_m = np.concatenate([xy for (xy, _), _ in samples])
    return xy_m, np.concatenate([share * zone_weight for (_, share), zone_weight in samples])


def targets_at(moment: KeyMoment, xy_m: Floats, *, turned: bool) -> Targets:
    """Make targets of one kind of moment at given places, all of weight 1.

    Parameters
    ----------
    xy_m : shape (n, 2), places for an attack toward +x
    turned : lay the attack toward -x
    """
    columns = _columns([_Laid(moment, 0, xy_m, np.ones(len(xy_m)), turned)])
    return Targets(moment_keys=(moment.key,), **columns)


@dataclass(frozen=True, eq=False)
class _Laid:
    """A kind of moment laid on the ground for one side."""

    moment: KeyMoment
    index: int  # among the moments
    xy_m: Floats  # shape (n, 2), for an attack toward +x
    weight: Floats  # shape (n,)
    turned: bool  # attacks toward -x


def _columns(laid: Sequence[_Laid]) -> Columns:
    """Columns of targets, all places of one moment after those of another."""
    facings = [_facing(part.moment.facing, part.xy_m) for part in laid]
    xy_m = np.concatenate([-part.xy_m if part.turned else part.xy_m for part in laid])
    facing_rad = [
        rad + math.pi if part.turned else rad for part, (rad, _) in zip(laid, facings, strict=True)
    ]  # fmt: skip
    rows = np.array([_row(part, pull) for part, (_, pull) in zip(laid, facings, strict=True)])
    of = np.repeat(rows.reshape(len(laid), -1), [len(part.xy_m) for part in laid], axis=0).T.copy()
    return {
        "xyz_m": np.column_stack([xy_m, of[0]]),
        "weight": np.concatenate([part.weight for part in laid]),
        "moment": of[1].astype(np.intp),
        "attack_x": of[2].astype(np.int8),
        "facing_rad": np.concatenate(facing_rad),
        "facing_pull": of[3],
        "faces_matter": of[4],
        "extent_m": of[5:7].T.copy(),
        "subject_m": of[7],
        "feet_m": of[8],
        "speed_m_s": of[9],
        "jump_share": of[10],
        "jump_m_s": of[11:13].T.copy(),
        "catch_up_s": of[13],
        "crowd_per_m2": of[14],
        "crowd_radius_m": of[15],
        "crowd_lean": of[16],
        "beyond_per_m2": of[17],
    }


def _row(part: _Laid, pull: float) -> tuple[float, ...]:
    """What all targets of a moment have alike, as `_columns` takes it apart."""
    moment, jump = part.moment, part.moment.jump
    low_m, high_m = moment.action_height_m
    return (
        (low_m + high_m) / 2,
        part.index,
        (-1 if part.turned else 1) if moment.sided else 0,
        pull,
        moment.faces_matter,
        *moment.extent_m,
        moment.subject_height_m,
        max(0.0, min(low_m, high_m - moment.subject_height_m)),
        moment.speed_m_s,
        jump.share,
        jump.along_m_s,
        jump.across_m_s,
        LONG_FLIGHT_CATCH_UP_S if jump.is_long_flight else CATCH_UP_S,
        moment.crowd_per_m2,
        moment.crowd_radius_m,
        moment.crowd_lean,
        moment.beyond_per_m2,
    )


def _facing(facing: Facing, xy_m: Floats) -> tuple[Floats, float]:
    pull = 0.0 if facing.spread_deg >= 180 else math.exp(-(math.radians(facing.spread_deg) ** 2) / 2)
    if facing.toward_m is not None:
        away = np.array(facing.toward_m) - xy_m
        return np.arctan2(away[:, 1], away[:, 0]), pull
    return np.full(len(xy_m), math.radians(facing.direction_deg or 0.0)), pull
