"""What cameras do from their spots in one period, in numbers that words and pictures are made from.

Everything here is in float64 and from the positions alone, so that a plan and the score of the same
positions given by hand are the same numbers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.geometry.optics.camera import Lens, subject_fraction
from standmark.optimizer.match.match import Camera, CameraRole, Match
from standmark.optimizer.match.role import role_wish
from standmark.optimizer.value.outfit import Outfit, camera_outfits
from standmark.optimizer.value.quality import FACTORS, Factors, Surroundings, rows_factors
from standmark.optimizer.value.targets import Targets, moment_shares, period_targets
from standmark.optimizer.work.duty import Duty, Views, faces_share, moment_duties
from standmark.optimizer.work.line_of_action import ActionLine, Crossing, action_lines, period_crossings
from standmark.optimizer.work.second_angle import pair_views, second_angle_share
from standmark.sports.sport import Period

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
    coverage: float  # weighted value of what this camera gets on its own
    by_moment: dict[str, float]
    seen: float  # weighted share of the period's moments that it captures usably on its own
    seen_by_moment: dict[str, float]
    faces: float  # share of what it captures usably that shows faces
    faces_by_moment: dict[str, float]
    role: CameraRole | None  # of the camera
    role_share: float | None  # of the period's moments held as the role asks; None: its role asks what the film asks
    carried: float  # share of the period's moments for which this camera is the best one
    factors: dict[str, float]  # weighted mean of each factor over all moments
    limit: str  # the factor that costs most
    factors_by_moment: dict[str, dict[str, float]]


@dataclass(frozen=True)
class Station:
    """One camera at a spot with one lens: all that coverage depends on."""

    camera: Camera
    outfit: Outfit
    spot: Spot


@dataclass(frozen=True)
class PeriodPlan:
    """Who stands where in one period and what that covers."""

    period: Period
    coverage: float  # weighted value of the period's key moments, each as the camera gets it that gets it best
    by_moment: dict[str, float]  # the same for each kind of moment
    seen: float  # weighted share of the key moments captured usably by at least one camera
    seen_by_moment: dict[str, float]
    faces: float  # share of what is captured usably that shows faces to at least one camera
    faces_by_moment: dict[str, float]
    assignments: tuple[Assignment, ...]  # one for each camera, in the match's order
    second_angle: float  # share captured by two cameras in clearly different views
    second_angle_by_moment: dict[str, float]
    duties: tuple[Duty, ...]  # who takes which moment, end by end
    crossings: tuple[Crossing, ...]  # moments that two cameras take from opposite sides of the line of action
    lines: tuple[ActionLine, ...]  # of moments that two cameras take


def spot_at(area: str, x_m: float, y_m: float, z_m: float) -> Spot:
    """Name a lens position by its area and place."""
    x_m, y_m, z_m = (float(v) + 0.0 for v in (x_m, y_m, z_m))  # no -0
    return Spot(f"{area}:{x_m:.2f},{y_m:.2f},{z_m:.2f}", x_m, y_m, z_m, area)


def period_plan(
    match: Match,
    period: Period,
    stations: Sequence[Station],
    *,
    targets: Targets,
    around: Surroundings,
    factors: Sequence[Factors] | None = None,
) -> PeriodPlan:
    """Say what cameras at given spots cover in a period; the one definition of coverage, in float64.

    Parameters
    ----------
    stations : one for each camera
    factors : of each, where they are known
    """
    if factors is None:
        factors = [station_factors(match, station, targets, around=around) for station in stations]
    views = _views(stations, factors, targets)
    quality = views.quality
    best, seen, shown = (parts.max(axis=0) for parts in (quality, views.seen, views.shown))
    assignments = tuple(
        describe(
            station,
            targets,
            factors[i],
            others=np.delete(quality, i, axis=0),
            framing=role_framing(match, period, station, around=around),
        )
        for i, station in enumerate(stations)
    )
    twice = second_angle_share(quality, views.pairs)
    has_ends = period.attack != "same"
    return PeriodPlan(
        period=period,
        coverage=float(targets.weight @ best),
        by_moment=moment_shares(targets, best),
        seen=float(targets.weight @ seen),
        seen_by_moment=moment_shares(targets, seen),
        faces=faces_share(float(targets.weight @ seen), float(targets.weight @ shown)),
        faces_by_moment=_faces_by_moment(targets, seen, shown),
        assignments=assignments,
        second_angle=float(targets.weight @ twice),
        second_angle_by_moment=moment_shares(targets, twice),
        duties=moment_duties(targets, views, has_ends=has_ends),
        crossings=period_crossings(
            period.key, targets, views.cameras, views.positions_m, views.quality, has_ends=has_ends
        ),
        lines=action_lines(targets, views.cameras, views.positions_m, views.quality),
    )


def _faces_by_moment(targets: Targets, seen: Floats, shown: Floats) -> dict[str, float]:
    shares = moment_shares(targets, shown)
    return {key: faces_share(share, shares[key]) for key, share in moment_shares(targets, seen).items()}


def _views(stations: Sequence[Station], factors: Sequence[Factors], targets: Targets) -> Views:
    positions_m = np.array([[s.spot.x_m, s.spot.y_m, s.spot.z_m] for s in stations])
    away_m = np.linalg.norm(targets.xyz_m[None] - positions_m[:, None], axis=2)
    size = np.array(
        [
            subject_fraction(targets.subject_m, d, focal_mm=f.focal_mm, mode=s.outfit.mode)
            for d, f, s in zip(away_m, factors, stations, strict=True)
        ]
    )
    pairs = pair_views(positions_m, size, targets.xyz_m)
    names = tuple(s.camera.name for s in stations)
    roles = tuple(s.camera.role for s in stations)
    quality, seen, shown = (np.array([getattr(f, part) for f in factors]) for part in ("quality", "seen", "shown"))
    return Views(names, roles, positions_m, quality, seen, shown, size, pairs)


def plan_stations(match: Match, period: PeriodPlan) -> tuple[Station, ...]:
    """Stations behind the assignments of a period, in the same order."""
    cameras = {camera.name: camera for camera in match.cameras}
    return tuple(
        Station(camera, next(o for o in camera_outfits(match, camera) if o.lens == a.lens), a.spot)
        for a in period.assignments
        for camera in [cameras[a.camera]]
    )


def station_factors(match: Match, station: Station, targets: Targets, *, around: Surroundings) -> Factors:
    """Give the factors of one camera at its spot for every target."""
    return stations_factors(match, (station,), targets, around=around)[0]


def stations_factors(
    match: Match, stations: Sequence[Station], targets: Targets, *, around: Surroundings
) -> list[Factors]:
    """Give the factors of cameras at their spots for every target."""
    positions_m = np.array([[s.spot.x_m, s.spot.y_m, s.spot.z_m] for s in stations])
    outfits = [station.outfit for station in stations]
    return rows_factors(positions_m, targets, outfits=outfits, deliverable=match.deliverable, around=around)


def role_factors(match: Match, station: Station, targets: Targets, *, around: Surroundings) -> Factors | None:
    """Factors by what a camera's role asks; None where that is what the film asks."""
    wish = role_wish(match, station.camera)
    if wish is match.deliverable:
        return None
    return station_factors(replace(match, deliverable=wish), station, targets, around=around)


def role_framing(
    match: Match, period: Period, station: Station, *, around: Surroundings
) -> tuple[Targets, Factors] | None:
    """What a camera's role asks to be seen, and how it sees that; None where that is what the film asks."""
    wish = role_wish(match, station.camera)
    if wish is match.deliverable:
        return None
    asked = replace(match, deliverable=wish)
    targets = period_targets(asked, period)
    return targets, station_factors(asked, station, targets, around=around)


def describe(
    station: Station,
    targets: Targets,
    factors: Factors,
    *,
    others: Floats,
    framing: tuple[Targets, Factors] | None = None,
) -> Assignment:
    """Say what a camera does from its spot in a period.

    Parameters
    ----------
    others : shape (n_other_cameras, n_targets), quality of the other cameras; ties count for both
    framing : by what its role asks, which then says how it frames and where it turns; None: by the film
    """
    spot = station.spot
    xyz_m = np.array([spot.x_m, spot.y_m, spot.z_m])
    quality = factors.quality
    best_other = others.max(axis=0) if len(others) else np.zeros(len(quality))
    carried = work = targets.weight * quality * (quality >= best_other - 1e-6)
    focal_mm, at_m = factors.focal_mm, targets.xyz_m
    if framing is not None:
        asked, framed = framing
        work, focal_mm, at_m = asked.weight * framed.quality, framed.focal_mm, asked.xyz_m
    means = {name: _mean(targets.weight, getattr(factors, name)) for name in FACTORS}
    return Assignment(
        camera=station.camera.name,
        spot=spot,
        lens=station.outfit.lens,
        focal_mm=_inner_range(focal_mm, work),
        pan_deg=pan_range_deg(xyz_m, at_m, work),
        tilt_deg=_inner_range(_tilt_deg(xyz_m, at_m), work),
        coverage=float(targets.weight @ quality),
        by_moment=moment_shares(targets, quality),
        seen=float(targets.weight @ factors.seen),
        seen_by_moment=moment_shares(targets, factors.seen),
        faces=faces_share(float(targets.weight @ factors.seen), float(targets.weight @ factors.shown)),
        faces_by_moment=_faces_by_moment(targets, factors.seen, factors.shown),
        carried=float(carried.sum()),
        role=station.camera.role,
        role_share=None if framing is None else float(work.sum()),
        factors=means,
        limit=limiting_factor(targets.weight, factors),
        factors_by_moment={
            key: {name: _mean(targets.weight[own], getattr(factors, name)[own]) for name in FACTORS}
            for i, key in enumerate(targets.moment_keys)
            if len(own := np.flatnonzero(targets.moment == i))
        },
    )


def limiting_factor(weight: Floats, factors: Factors) -> str:
    """Name the factor whose absence would raise coverage most: the one that costs most."""
    gains = {name: float(weight @ factors.quality_without(name)) for name in FACTORS}
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
