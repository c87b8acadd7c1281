"""What a camera that is moved by hand is worth, from what the answer has worked out already."""

from __future__ import annotations

import base64
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from standmark.cli.words.shares import about
from standmark.cli.words.where.place import where
from standmark.geometry.arrays import Floats
from standmark.optimizer.choice.candidates import eye_heights_m, lens_heights_m, snapped, standing_shape
from standmark.optimizer.match.match import AllowedArea, Camera, Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.scoring.choice import PeriodTask, period_tasks
from standmark.optimizer.value.outfit import Rows, camera_outfits
from standmark.optimizer.value.quality import quality_matrix
from standmark.optimizer.value.targets import moment_shares
from standmark.optimizer.work.assignment import Station, plan_stations, spot_at, station_factors
from standmark.optimizer.work.ground_map import Mesh, ground_mesh, mesh_step_m

CELLS_A_LENGTH = 17
MOST_CELLS = 400
TOUCH_M = 0.01


@dataclass(frozen=True, eq=False)
class Ground:
    """What a period asks for: every moment at every place, and the same on the cells that the page draws."""

    task: PeriodTask
    mesh: Mesh
    quality: Floats  # shape (n_cameras, n_targets), of the plan's own spots
    seen: Floats  # shape (n_cameras, n_targets), share captured usably from them
    captured: Floats  # shape (n_cameras, n_cells), the same by cell


@dataclass(frozen=True, eq=False)
class Standing:
    """A part of the ground on which a camera may really stand."""

    area: AllowedArea
    shape: shapely.geometry.base.BaseGeometry


@dataclass(frozen=True, eq=False)
class Kept:
    """Everything that a question about a moved camera needs; made once for each answer."""

    match: Match
    grounds: dict[str, Ground]  # by key of the period
    standing: tuple[Standing, ...]


def kept_rows(plan: Plan) -> Kept:
    """Work out what later questions look up."""
    match = plan.match
    grounds = {}
    same: dict[tuple[object, ...], Ground] = {}
    for planned, task in zip(plan.periods, period_tasks(match), strict=True):
        stations = plan_stations(match, planned)
        twin = (tuple(s.spot.id for s in stations), tuple(a.lens for a in planned.assignments), planned.period.attack)
        if twin not in same:
            mesh = ground_mesh(match, planned.period, step_m=ring_step_m(match))
            factors = [station_factors(match, s, task.targets, around=task.around) for s in stations]
            cells = [station_factors(match, s, mesh.targets, around=mesh.around) for s in stations]
            quality, seen = (np.array([getattr(f, part) for f in factors]) for part in ("quality", "seen"))
            same[twin] = Ground(task, mesh, quality, seen, mesh.mean(np.array([c.seen for c in cells])))
        grounds[planned.period.key] = same[twin]
    standing = tuple(
        Standing(area, shape) for area in match.venue.allowed if not (shape := standing_shape(match, area)).is_empty
    )
    return Kept(match, grounds, standing)


def ring_step_m(match: Match) -> float:
    """Side of the cells in which the page shows what happens: a seventeenth of the length, at most 400 of them."""
    return max(match.sport.area.length_m / CELLS_A_LENGTH, mesh_step_m(match, most_cells=MOST_CELLS))


def worth_at(kept: Kept, plan: Plan, *, period: str, camera: str, at_m: tuple[float, ...]) -> dict[str, Any] | None:
    """Say what a period would give with one camera somewhere else, the others where the plan has them.

    Parameters
    ----------
    at_m : x, y, and the height of the lens if it is given; else the best of those that one reaches there

    Returns
    -------
    as the page reads it; None where there is no such period or camera, or nowhere to stand
    """
    ground = kept.grounds.get(period)
    names = [c.name for c in kept.match.cameras]
    if ground is None or camera not in names:
        return None
    index = names.index(camera)
    kit = kept.match.cameras[index]
    nearest = _nearest(kept, kit, period, at_m)
    if nearest is None:
        return None
    standing, xy_m, is_there = nearest
    heights = _heights(standing.area, kit, at_m)
    outfits = camera_outfits(kept.match, kit)
    xyz_m = np.array([[*xy_m, height] for height in heights])
    targets, around = ground.task.targets, ground.task.around
    rows = Rows(outfits, len(xyz_m), ())
    quality = quality_matrix(xyz_m, targets, rows=rows, deliverable=kept.match.deliverable, around=around)
    others = np.delete(ground.quality, index, axis=0).max(axis=0, initial=0.0)
    worths = np.maximum(quality, others.astype(np.float32)).astype(np.float64) @ targets.weight
    best = _preferred(worths, heights, len(outfits), standing.area, kit, kept.match)
    outfit, height = outfits[best // len(xyz_m)], heights[best % len(xyz_m)]
    x, y = float(xy_m[0]), float(xy_m[1])
    station = Station(kit, outfit, spot_at(standing.area.key, x, y, height))
    seen = station_factors(kept.match, station, targets, around=around).seen
    together = np.maximum(seen, np.delete(ground.seen, index, axis=0).max(axis=0, initial=0.0))
    cells = station_factors(kept.match, station, ground.mesh.targets, around=ground.mesh.around).seen
    planned = next(p for p in plan.periods if p.period.key == period)
    return {
        "at": [round(x, 3), round(y, 3), round(height, 3)],
        "worth": round(float(worths[best]), 6),
        "best": round(planned.coverage, 6),
        "seen": round(float(targets.weight @ together), 6),
        "best_seen": round(planned.seen, 6),
        "allowed": is_there,
        "area": standing.area.key,
        "words": where(station.spot, kept.match).words,
        "get": f"Your spot gets {about(float(targets.weight @ together))}.",
        "lens": outfit.lens.name,
        "focal_mm": list(outfit.lens.focal_mm),
        "captured": packed(ground.mesh.mean(cells)),
        "moments": {key: round(share, 4) for key, share in moment_shares(targets, together).items()},
    }


def _preferred(
    worths: Floats, heights: list[float], n_outfits: int, area: AllowedArea, kit: Camera, match: Match
) -> int:
    """Row that is worth most; a lens at a person's eye where that gives up no more than a plan would."""
    best = int(np.argmax(worths))
    eyes = eye_heights_m(area, kit)
    at_eye = [i for i in range(n_outfits * len(heights)) if heights[i % len(heights)] in eyes]
    near = [i for i in at_eye if worths[i] >= worths[best] - match.rules.eye_height_give]
    return max(near, key=lambda i: float(worths[i]), default=best)


def packed(shares: NDArray[Any]) -> str:
    """Shares as one byte each, in base64."""
    values = np.round(np.clip(shares, 0.0, 1.0) * 255).astype(np.uint8)
    return base64.b64encode(np.ascontiguousarray(values).tobytes()).decode("ascii")


def _nearest(
    kept: Kept, kit: Camera, period: str, at_m: tuple[float, ...]
) -> tuple[Standing, tuple[float, float], bool] | None:
    """Place nearest to a point at which the camera may stand in a period, and whether it is the point itself."""
    point = shapely.Point(at_m[0], at_m[1])
    open_now = [
        s for s in kept.standing if (s.area.periods is None or period in s.area.periods) and lens_heights_m(s.area, kit)
    ]
    if not open_now:
        return None
    standing = min(open_now, key=lambda s: (round(s.shape.distance(point), 3), -s.area.lens_height_m[1]))
    is_there = bool(standing.shape.distance(point) <= TOUCH_M)
    xy_m = (at_m[0], at_m[1]) if is_there else snapped(standing.shape, np.array(at_m[:2]))
    return standing, xy_m, is_there


def _heights(area: AllowedArea, kit: Camera, at_m: tuple[float, ...]) -> list[float]:
    reach = lens_heights_m(area, kit)
    if len(at_m) > 2:
        return [float(np.clip(at_m[2], reach[0], reach[-1]))]
    return sorted({reach[0], reach[-1], *eye_heights_m(area, kit)})
