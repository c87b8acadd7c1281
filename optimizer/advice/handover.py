"""The handover line: where on the ground the best camera changes from one to another."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Floats
from standmark.optimizer.work.ground_map import GroundMap

SMOOTH_M = 5.0  # standard deviation of the smoothing: a line that a person can keep in mind
NEARER = 0.0005  # quality that one metre more of distance takes off: it decides only between cameras alike
SHORTEST_M = 4.0  # pieces shorter than this are left out
SIMPLE_M = 0.5  # corners of the line that change it by less are left out


@dataclass(frozen=True)
class Handover:
    """A line across which play changes hands between two cameras."""

    cameras: tuple[str, str]
    points_m: tuple[tuple[float, float], ...]


def handover_lines(
    names: tuple[str, ...], positions_m: Floats, ground: GroundMap, outline: BaseGeometry
) -> tuple[Handover, ...]:
    """Lines on the playing area on which two cameras are equally good and better than any other.

    What happens at a place and round it counts, by what it is worth: qualities are smoothed over the
    ground with a normal weight of SMOOTH_M first. Of two cameras alike the nearer one takes the action.

    Parameters
    ----------
    names : of the cameras, in the order of the map
    positions_m : shape (n, 2) or (n, 3), where they stand
    outline : of the playing area
    """
    low_x, low_y, high_x, high_y = outline.bounds
    step_m = max(ground.mesh.step_m, 1.0)
    x = np.linspace(low_x, high_x, max(2, round((high_x - low_x) / step_m)) + 1)
    y = np.linspace(low_y, high_y, max(2, round((high_y - low_y) / step_m)) + 1)
    smooth = _smoothed(ground, x, y)
    for index, spot in enumerate(positions_m):
        smooth[index] -= NEARER * np.hypot(x[:, None] - spot[0], y - spot[1])
    lines = []
    for i, j in combinations(range(len(names)), 2):
        others = np.delete(smooth, [i, j], axis=0).max(axis=0, initial=-1.0)
        segments = zero_segments(x, y, smooth[i] - smooth[j])
        segments = segments[_value_at(x, y, smooth[i] - others, segments.mean(axis=1)) > 0]
        for line in _joined(segments, outline):
            lines.append(Handover((names[i], names[j]), line))
    return tuple(lines)


def zero_segments(x: Floats, y: Floats, value: Floats) -> Floats:
    """Line segments on which a function given on a grid is zero, each square cut into two triangles.

    Parameters
    ----------
    value : shape (len(x), len(y)); linear in between

    Returns
    -------
    shape (n, 2, 2): segment, end, coordinate
    """
    gx, gy = np.meshgrid(x, y, indexing="ij")
    corner = np.stack([gx, gy, np.where(value == 0.0, 1e-12, value)], axis=-1)
    a, b, c, d = corner[:-1, :-1], corner[1:, :-1], corner[1:, 1:], corner[:-1, 1:]
    triangles = np.concatenate([np.stack([a, b, c], axis=2), np.stack([a, c, d], axis=2)]).reshape(-1, 3, 3)
    is_up = triangles[:, :, 2] > 0
    cut = triangles[(is_up.any(axis=1)) & (~is_up.all(axis=1))]
    if not len(cut):
        return np.empty((0, 2, 2))
    up = cut[:, :, 2] > 0
    lone = np.where(up.sum(axis=1) == 1, up.argmax(axis=1), (~up).argmax(axis=1))  # the corner apart from the other two
    rows = np.arange(len(cut))
    ends = [_crossing(cut[rows, lone], cut[rows, (lone + k) % 3]) for k in (1, 2)]
    return np.stack(ends, axis=1)


def _crossing(first: Floats, second: Floats) -> Floats:
    share = first[:, 2] / (first[:, 2] - second[:, 2])
    return np.asarray(first[:, :2] + share[:, None] * (second[:, :2] - first[:, :2]))


def _smoothed(ground: GroundMap, x: Floats, y: Floats) -> Floats:
    """Quality of each camera at the grid points, shape (n_cameras, len(x), len(y)); weights part into x and y."""
    mesh = ground.mesh
    near_x = np.exp(-0.5 * ((x[:, None] - mesh.xy_m[None, :, 0]) / SMOOTH_M) ** 2)
    near_y = np.exp(-0.5 * ((y[:, None] - mesh.xy_m[None, :, 1]) / SMOOTH_M) ** 2)
    weight = (near_x * mesh.worth) @ near_y.T
    sums = np.array([(near_x * (mesh.worth * q)) @ near_y.T for q in ground.quality])
    return np.asarray(sums / np.maximum(weight, 1e-300))


def _value_at(x: Floats, y: Floats, value: Floats, points_m: Floats) -> Floats:
    i = np.clip(np.searchsorted(x, points_m[:, 0]) - 1, 0, len(x) - 2)
    j = np.clip(np.searchsorted(y, points_m[:, 1]) - 1, 0, len(y) - 2)
    return np.asarray((value[i, j] + value[i + 1, j] + value[i, j + 1] + value[i + 1, j + 1]) / 4)


def _joined(segments: Floats, outline: BaseGeometry) -> list[tuple[tuple[float, float], ...]]:
    """Longest lines first, inside the outline, in centimetres."""
    if not len(segments):
        return []
    merged = shapely.line_merge(shapely.union_all(shapely.linestrings(segments.round(6))))
    inside = shapely.intersection(shapely.simplify(merged, SIMPLE_M), outline)
    lines = [part for part in shapely.get_parts(inside) if part.geom_type == "LineString" and part.length >= SHORTEST_M]
    lines.sort(key=lambda line: -line.length)
    return [tuple((round(float(a), 2) + 0.0, round(float(b), 2) + 0.0) for a, b in line.coords) for line in lines]
