"""How exactly a spot must be kept: how far one may drift along the area before coverage drops."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Flags, Floats
from standmark.optimizer.choice.candidates import standing_shape
from standmark.optimizer.choice.stage import Stage, worth_beside
from standmark.optimizer.match.match import AllowedArea, Match, heights_within_reach_m

STEPS_M = np.array([0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 11.0, 15.0, 20.0, 26.0, 33.0, 40.0])
RISES_M = np.array([0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0])
EDGE_M = 0.01  # to which the edge of an area is found
LEAST_M = 0.1  # a drift shorter than this is none
DROPS = (0.01, 0.03)  # one and three points of coverage


@dataclass(frozen=True)
class Drift:
    """How far a camera may go one way, lens and other cameras kept."""

    direction: str  # "left", "right", "back", "forward" as you face the playing area, "up", "down"
    one_point_m: float | None  # where coverage is one point lower; None: the area ends first
    three_points_m: float | None
    edge_m: float  # where the area ends, or the longest distance looked at


def tolerances(match: Match, stage: Stage, camera: int) -> tuple[Drift, ...]:
    """How far a camera may drift in each direction in which its area goes on; nowhere from a fixed spot."""
    if match.cameras[camera].fixed is not None:
        return ()
    places, rows = stage.grid.candidates, stage.grid.rows
    position = stage.positions[camera]
    area = match.venue.allowed[int(places.area[position])]
    spot_m = places.xyz_m[position]
    worth = worth_beside(match, stage, camera, (rows.outfit(stage.chosen[camera]),))
    paths = _paths(match, camera, area, spot_m)
    ends = np.cumsum([len(p) for _, p, _ in paths])
    values = np.split(worth(np.vstack([p for _, p, _ in paths])), ends[:-1]) if paths else []
    here = float(worth(spot_m[None])[0])
    return tuple(
        _drift(direction, away_m, here - value) for (direction, _, away_m), value in zip(paths, values, strict=True)
    )


def sideways(match: Match, area: AllowedArea, spot_m: Floats) -> Floats:
    """Direction to the left of someone who stands on a spot and faces the playing area, along the area.

    Returns
    -------
    shape (2,), length 1: square to the way to the nearest point of the outline, along the line for a line
    """
    point = shapely.Point(spot_m[:2])
    if area.shape.area == 0:
        at_m = area.shape.project(point)
        ends = [area.shape.interpolate(float(np.clip(at_m + d, 0, area.shape.length))) for d in (-0.5, 0.5)]
        along = np.array([ends[1].x - ends[0].x, ends[1].y - ends[0].y])
    else:
        along = np.array([0.0, 0.0])
    nearest = shapely.shortest_line(point, match.sport.area.outline.boundary)
    ahead = np.diff(shapely.get_coordinates(nearest), axis=0)[0]
    left = np.array([-ahead[1], ahead[0]])
    if not left.any():
        left = np.array([1.0, 0.0])
    if along.any():
        left = along if along @ left >= 0 else -along
    return np.asarray(left / np.hypot(*left))


def _paths(match: Match, camera: int, area: AllowedArea, spot_m: Floats) -> list[tuple[str, Floats, Floats]]:
    """Direction, places along it, and their distances; only those inside the area."""
    shape = standing_shape(match, area).buffer(1e-3)
    left = sideways(match, area, spot_m)
    ahead = np.array([left[1], -left[0]])
    flat = {"left": left, "right": -left}
    if area.shape.area > 0:
        flat |= {"forward": ahead, "back": -ahead}
    low, high = heights_within_reach_m(area, match.cameras[camera]) or (np.inf, -np.inf)
    paths = [(name, *_walk(spot_m, np.array([*way, 0.0]), STEPS_M, _inside(shape))) for name, way in flat.items()]
    paths += [
        (name, *_walk(spot_m, np.array([0.0, 0.0, sign]), RISES_M, lambda p: (p[:, 2] >= low) & (p[:, 2] <= high)))
        for name, sign in (("up", 1.0), ("down", -1.0))
    ]
    return [path for path in paths if len(path[1])]


def _inside(shape: BaseGeometry) -> Callable[[Floats], Flags]:
    shapely.prepare(shape)
    return lambda p: np.asarray(shapely.intersects_xy(shape, p[:, 0], p[:, 1]))


def _walk(spot_m: Floats, way: Floats, steps_m: Floats, is_inside: Callable[[Floats], Flags]) -> tuple[Floats, Floats]:
    """Places along a way at the steps that lie inside, and at the edge where it comes before the last step."""
    inside = is_inside(spot_m + way * steps_m[:, None])
    if inside.all():
        return spot_m + way * steps_m[:, None], steps_m
    n = int(np.argmin(inside))
    here_m, there_m = float(steps_m[n - 1]) if n else 0.0, float(steps_m[n])
    while there_m - here_m > EDGE_M:
        middle_m = (here_m + there_m) / 2
        here_m, there_m = (middle_m, there_m) if is_inside((spot_m + way * middle_m)[None])[0] else (here_m, middle_m)
    last_m = steps_m[n - 1] if n else 0.0
    away_m = np.append(steps_m[:n], here_m) if here_m - last_m >= LEAST_M else steps_m[:n]
    return spot_m + way * away_m[:, None], away_m


def _drift(direction: str, away_m: Floats, drop: Floats) -> Drift:
    reached = [_first_reach(away_m, drop, points) for points in DROPS]
    return Drift(direction, reached[0], reached[1], float(away_m[-1]))


def _first_reach(away_m: Floats, drop: Floats, points: float) -> float | None:
    """Distance at which a drop is first reached, between two looks taken as a straight line."""
    over = np.flatnonzero(drop >= points)
    if not len(over):
        return None
    far = int(over[0])
    x0, y0 = (0.0, 0.0) if far == 0 else (float(away_m[far - 1]), float(drop[far - 1]))
    x1, y1 = float(away_m[far]), min(float(drop[far]), 1.0)
    return round(x0 + (x1 - x0) * (points - y0) / (y1 - y0), 2)
