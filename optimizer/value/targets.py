"""What has to be seen: the key moments of one period, sampled over their zones."""

from __future__ import annotations

import math
from collections.abc import Callable
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
CELLS_PER_ZONE = 16  # half the step (64 cells) moves coverage by at most 0.1 points, and under half a point by test


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


@lru_cache(maxsize=512)  # the same zone serves both ends, both halves and every ground of a size
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
    step_m = math.sqrt(shape.area / cells)
    low_x, low_y, high_x, high_y = shape.bounds
    n_x = max(1, math.ceil((high_x - low_x) / step_m))
    n_y = max(1, math.ceil((high_y - low_y) / step_m))
    edges_x, edges_y = np.linspace(low_x, high_x, n_x + 1), np.linspace(low_y, high_y, n_y + 1)
    x, y = np.meshgrid(edges_x[:-1], edges_y[:-1], indexing="ij")
    boxes = shapely.box(x.ravel(), y.ravel(), x.ravel() + edges_x[1] - edges_x[0], y.ravel() + edges_y[1] - edges_y[0])
    clipped = shapely.intersection(boxes, shape)
    area = shapely.area(clipped)
    kept = area > 1e-9 * shape.area
    xy_m, share = shapely.get_coordinates(shapely.centroid(clipped[kept])), area[kept] / area[kept].sum()
    xy_m.flags.writeable = share.flags.writeable = False
    return xy_m, share


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
    parts = [
        part
        for index, moment in enumerate(match.sport.moments)
        for turned, side_weight in turns(match, period, sided=moment.sided)
        if (weight := moment_weight(match, moment) * side_weight) > 0
        for part in [_moment_targets(moment, index, weight=weight, turned=turned, sample=sample)]
    ]
    merged = {f.name: np.concatenate([p[f.name] for p in parts]) for f in fields(Targets) if f.name != "moment_keys"}
    merged["weight"] = merged["weight"] / merged["weight"].sum()
    return Targets(moment_keys=tuple(m.key for m in match.sport.moments), **merged)


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


def _moment_targets(
    moment: KeyMoment, index: int, *, weight: float, turned: bool, sample: Sampler
) -> dict[str, NDArray[Any]]:
    samples = [(sample(zone.shape), zone.weight) for zone in moment.zones]
    xy_m = np.concatenate([xy for (xy, _), _ in samples])
    share = np.concatenate([share * zone_weight for (_, share), zone_weight in samples])
    return _moment_columns(moment, index, xy_m, weight=weight * share / share.sum(), turned=turned)


def targets_at(moment: KeyMoment, xy_m: Floats, *, turned: bool) -> Targets:
    """Make targets of one kind of moment at given places, all of weight 1.

    Parameters
    ----------
    xy_m : shape (n, 2), places for an attack toward +x
    turned : lay the attack toward -x
    """
    columns = _moment_columns(moment, 0, xy_m, weight=np.ones(len(xy_m)), turned=turned)
    return Targets(moment_keys=(moment.key,), **columns)


def _moment_columns(moment: KeyMoment, index: int, xy_m: Floats, *, weight: Floats, turned: bool) -> Columns:
    facing_rad, facing_pull = _facing(moment.facing, xy_m)
    if turned:
        xy_m, facing_rad = -xy_m, facing_rad + math.pi
    n = len(xy_m)
    low_m, high_m = moment.action_height_m
    jump = moment.jump
    return {
        "xyz_m": np.column_stack([xy_m, np.full(n, (low_m + high_m) / 2)]),
        "weight": weight,
        "moment": np.full(n, index, dtype=np.intp),
        "attack_x": np.full(n, (-1 if turned else 1) if moment.sided else 0, dtype=np.int8),
        "facing_rad": facing_rad,
        "facing_pull": np.full(n, facing_pull),
        "faces_matter": np.full(n, moment.faces_matter),
        "extent_m": np.tile(np.array(moment.extent_m), (n, 1)),
        "subject_m": np.full(n, moment.subject_height_m),
        "feet_m": np.full(n, max(0.0, min(low_m, high_m - moment.subject_height_m))),
        "speed_m_s": np.full(n, moment.speed_m_s),
        "jump_share": np.full(n, jump.share),
        "jump_m_s": np.tile(np.array([jump.along_m_s, jump.across_m_s]), (n, 1)),
        "catch_up_s": np.full(n, LONG_FLIGHT_CATCH_UP_S if jump.is_long_flight else CATCH_UP_S),
        "crowd_per_m2": np.full(n, moment.crowd_per_m2),
        "crowd_radius_m": np.full(n, moment.crowd_radius_m),
        "crowd_lean": np.full(n, moment.crowd_lean),
        "beyond_per_m2": np.full(n, moment.beyond_per_m2),
    }


def _facing(facing: Facing, xy_m: Floats) -> tuple[Floats, float]:
    pull = 0.0 if facing.spread_deg >= 180 else math.exp(-(math.radians(facing.spread_deg) ** 2) / 2)
    if facing.toward_m is not None:
        away = np.array(facing.toward_m) - xy_m
        return np.arctan2(away[:, 1], away[:, 0]), pull
    return np.full(len(xy_m), math.radians(facing.direction_deg or 0.0)), pull
