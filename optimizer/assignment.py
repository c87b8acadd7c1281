"""What one camera does from its spot in one period, in numbers that words and pictures are made from."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.camera import Lens
from standmark.optimizer.candidates import Candidates
from standmark.optimizer.kit import Outfit
from standmark.optimizer.match import Camera, Match
from standmark.optimizer.quality import FACTORS, Factors, Surroundings, row_factors
from standmark.optimizer.targets import Targets, moment_shares

Floats = NDArray[np.float64]
INNER_SHARE = 0.9  # of the work a camera does: the ranges given leave out the outer tenth


@dataclass(frozen=True)
class Spot:
    """A lens position."""

    id: str  # area key and place, stable for the same ground: "goal-line-plus-x:57.5,6.0"
    x_m: float
    y_m: float
    z_m: float
    area: str  # key of the allowed area


@dataclass(frozen=True)
class Assignment:
    """One camera, one period: place, lens, the ranges it works in, and what limits it."""

    camera: str
    spot: Spot
    lens: Lens
    focal_mm: tuple[float, float]  # range that nine tenths of its work needs
    pan_deg: tuple[float, float]  # directions of the optical axis, from right to left; 0 along +x, 90 along +y
    tilt_deg: tuple[float, float]  # negative: down
    coverage: float  # share of the period's moments that this camera captures usably on its own
    by_moment: dict[str, float]
    carried: float  # share of the period's moments for which this camera is the best one
    factors: dict[str, float]  # weighted mean of each factor over all moments
    limit: str  # the factor that costs most
    factors_by_moment: dict[str, dict[str, float]]


def describe(
    match: Match,
    camera: Camera,
    outfit: Outfit,
    candidates: Candidates,
    position: int,
    targets: Targets,
    *,
    around: Surroundings,
    others: Floats,
) -> Assignment:
    """Say what a camera does from a position in a period.

    Parameters
    ----------
    others : shape (n_other_cameras, n_targets), quality of the other cameras; ties go to the earlier camera
    """
    xyz_m = candidates.xyz_m[position]
    factors = row_factors(xyz_m, targets, outfit=outfit, deliverable=match.deliverable, around=around)
    quality = factors.quality
    best_other = others.max(axis=0) if len(others) else np.zeros(len(quality))
    work = targets.weight * quality * (quality >= best_other - 1e-6)
    means = {name: _mean(targets.weight, getattr(factors, name)) for name in FACTORS}
    area = candidates.area_keys[int(candidates.area[position])]
    return Assignment(
        camera=camera.name,
        spot=_spot(area, *(round(float(v), 3) for v in xyz_m)),
        lens=outfit.lens,
        focal_mm=_inner_range(factors.focal_mm, work),
        pan_deg=pan_range_deg(xyz_m, targets.xyz_m, work),
        tilt_deg=_inner_range(_tilt_deg(xyz_m, targets.xyz_m), work),
        coverage=float(targets.weight @ quality),
        by_moment=moment_shares(targets, quality),
        carried=float(work.sum()),
        factors=means,
        limit=limiting_factor(targets.weight, factors),
        factors_by_moment={
            key: {name: _mean(targets.weight[own], getattr(factors, name)[own]) for name in FACTORS}
            for i, key in enumerate(targets.moment_keys)
            if len(own := np.flatnonzero(targets.moment == i))
        },
    )


def _spot(area: str, x_m: float, y_m: float, z_m: float) -> Spot:
    return Spot(f"{area}:{x_m:.2f},{y_m:.2f},{z_m:.2f}", x_m, y_m, z_m, area)


def limiting_factor(weight: Floats, factors: Factors) -> str:
    """Name the factor whose absence would raise coverage most: the one that costs most."""
    gains = {}
    for name in FACTORS:
        rest = [getattr(factors, other) for other in FACTORS if other != name]
        gains[name] = float(weight @ np.prod(rest, axis=0))
    return max(FACTORS, key=lambda name: gains[name])


def pan_range_deg(position_m: Floats, targets_m: Floats, work: Floats) -> tuple[float, float]:
    """Directions between which a camera pans for the inner nine tenths of its work, from right to left.

    Measured from +x toward +y, unwrapped round the mean direction of the work, so `from` <= `to`.
    """
    bearing = np.arctan2(targets_m[:, 1] - position_m[1], targets_m[:, 0] - position_m[0])
    mean = math.atan2(float(work @ np.sin(bearing)), float(work @ np.cos(bearing)))
    off_axis = np.degrees((bearing - mean + math.pi) % (2 * math.pi) - math.pi)
    low, high = _inner_range(off_axis, work)
    return round(math.degrees(mean) + low, 1), round(math.degrees(mean) + high, 1)


def _tilt_deg(position_m: Floats, targets_m: Floats) -> Floats:
    run_m = np.hypot(targets_m[:, 0] - position_m[0], targets_m[:, 1] - position_m[1])
    return np.asarray(np.degrees(np.arctan2(targets_m[:, 2] - position_m[2], run_m)))


def _inner_range(values: Floats, work: Floats) -> tuple[float, float]:
    if work.sum() <= 0:
        return round(float(values.min()), 1), round(float(values.max()), 1)
    order = np.argsort(values, kind="stable")
    share = np.cumsum(work[order]) / work.sum()
    low = values[order][np.searchsorted(share, (1 - INNER_SHARE) / 2)]
    high = values[order][min(int(np.searchsorted(share, (1 + INNER_SHARE) / 2)), len(values) - 1)]
    return round(float(low), 1), round(float(high), 1)


def _mean(weight: Floats, factor: Floats) -> float:
    return float(weight @ factor / weight.sum())
