"""What the height of the lens is worth: one camera alone, from low on the ground to high in a stand."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from standmark.geometry.arrays import Floats
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.choice.candidates import free_beyond_m
from standmark.optimizer.choice.grid import spot_quality
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import AllowedArea, Match
from standmark.optimizer.value.outfit import camera_outfits
from standmark.sports.place_kind import OVERHEAD_M
from standmark.sports.timeline import length_shares

HEIGHTS_M = (0.5, 1.0, 1.6, 2.5, 4.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0)
GROUND_M = 2.0  # up to here one stands on the ground
RISE_DEG = 30.0  # of the rows of a stand; common practice, no source
OUTWARD = {"+x": (1.0, 0.0), "-x": (-1.0, 0.0), "+y": (0.0, 1.0), "-y": (0.0, -1.0)}


@dataclass(frozen=True)
class HeightPoint:
    """What the first camera alone covers from one height: at the middle of a side, or behind the middle of an end."""

    side: str  # "+x", "-x": behind an end; "+y", "-y": at halfway
    x_m: float
    y_m: float
    height_m: float  # of the lens
    lens: Lens
    coverage: float  # of the whole match
    seen: float  # captured usably


def height_curve(match: Match, stages: Sequence[Stage]) -> tuple[HeightPoint, ...]:
    """Coverage against the height of the lens, further back the higher it is, as in the rows of a stand."""
    camera = match.cameras[0]
    heights_m = [h for h in HEIGHTS_M if camera.lens_height_m[0] - 1e-9 <= h <= camera.lens_height_m[1] + 1e-9]
    spots = [spot for side in OUTWARD for spot in _spots(match, side, heights_m)]
    if not spots:
        return ()
    xyz_m = np.array([xyz for _, xyz in spots])
    outfits = camera_outfits(match, camera)
    share = length_shares(s.task for s in stages)
    plain = replace(match, deliverable=replace(match.deliverable, faces=0.0))  # worth what is seen
    worth, seen = (np.tensordot(share, _alone(m, stages, xyz_m), axes=1) for m in (match, plain))  # outfits, spots
    best = worth.argmax(axis=0)
    return tuple(
        HeightPoint(
            side, float(x), float(y), float(z), outfits[best[i]].lens, float(worth[best[i], i]), float(seen[best[i], i])
        )
        for i, (side, (x, y, z)) in enumerate(spots)
    )


def _alone(match: Match, stages: Sequence[Stage], xyz_m: Floats) -> Floats:
    """Coverage of each stage by the first camera alone, shape (stages, outfits, spots)."""
    outfits = camera_outfits(match, match.cameras[0])
    known: dict[int, Floats] = {}
    for stage in stages:
        if id(stage.problem) not in known:
            quality = spot_quality(match, stage.task, xyz_m, outfits)
            known[id(stage.problem)] = np.asarray(quality @ stage.problem.weight, dtype=np.float64)
    return np.array([known[id(stage.problem)] for stage in stages])


def _spots(match: Match, side: str, heights_m: Sequence[float]) -> Iterator[tuple[str, Floats]]:
    """Lens positions beyond the middle of one side: the nearest free ground, and back from there with the height."""
    outline, away = match.sport.area.outline, np.array(OUTWARD[side])
    low_x, low_y, high_x, high_y = outline.bounds
    middle = np.array([(low_x + high_x) / 2, (low_y + high_y) / 2])
    far = middle + away * (high_x - low_x + high_y - low_y)
    crossed = shapely.get_coordinates(shapely.LineString([middle, far]).intersection(outline))
    edge = crossed[int(np.argmax(crossed @ away))]
    for height in heights_m:
        floor_m = 0.0 if height <= GROUND_M else max(height - GROUND_M, OVERHEAD_M)
        area = AllowedArea("free", "free ground", outline, (height, height), floor_m=floor_m)
        ground = AllowedArea("free", "free ground", outline, (height, height))
        near_m = free_beyond_m(match, ground, edge, away)
        if near_m is None:
            near_m = free_beyond_m(match, area, edge, away)
        if near_m is not None:
            back_m = max(height - GROUND_M, 0.0) / math.tan(math.radians(RISE_DEG))
            yield side, np.array([*(edge + away * (near_m + 0.5 + back_m)), height])
