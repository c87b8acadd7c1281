"""Subjects as bundles of rays, and rays cut by occluders one by one in double precision.

A subject is an upright rectangle that faces the lens; a ray goes to the middle of each of its equal cells. A line
footprint is a wall: every crossing is one layer, and the see-through shares of layers multiply. A closed footprint is
a solid block with a flat top and base: a ray that passes through its inside is dimmed once; with base and top equal
it is a sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.occluder import Occluder
from standmark.geometry.solid import pass_inside
from standmark.geometry.wall import CONTACT_M, Walls, crosses, reach_ratio, see_walls

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Hits = tuple[Indices, Indices]  # flat index of the ray, index of the occluder


@dataclass(frozen=True, eq=False)
class Subjects:
    """Upright rectangles in cells."""

    xy_m: Floats  # shape (n, 2)
    z_m: Floats  # shape (n, n_up), middles of the cells up
    aside_m: Floats  # shape (n_across,), middles of the cells across, to the left as seen from the lens


def subjects_of(
    target_xyz_m: Floats, height_m: Floats, *, width_m: float, height_cells: int, width_cells: int
) -> Subjects:
    """Cut subjects into cells.

    Parameters
    ----------
    target_xyz_m : shape (n, 3), middle of the subject; it stands on the ground where that would put its feet below
    height_m : shape (n,) or scalar
    """
    height = np.broadcast_to(height_m, len(target_xyz_m))[:, None]
    feet = np.maximum(target_xyz_m[:, 2, None] - 0.5 * height, 0.0)
    up = (np.arange(height_cells) + 0.5) / height_cells
    aside = width_m * ((np.arange(width_cells) + 0.5) / width_cells - 0.5)
    return Subjects(target_xyz_m[:, :2], feet + height * up, aside)


def traced_share(
    lens_xyz_m: Floats, point: Indices, *, subjects: Subjects, walls: Walls, occluders: Sequence[Occluder]
) -> Floats:
    """Visible share of subjects, each from its own lens, by following every ray past every occluder.

    Parameters
    ----------
    lens_xyz_m : shape (n, 3)
    point : shape (n,), which subject each lens looks at

    Returns
    -------
    shape (n,)
    """
    light = np.ones((len(point), len(subjects.aside_m), subjects.z_m.shape[1]))
    hits = [
        *_wall_hits(lens_xyz_m, point, subjects=subjects, walls=walls),
        *_inside_hits(lens_xyz_m, point, subjects=subjects, occluders=occluders),
    ]
    if hits:
        ray, occluder = (np.concatenate(part) for part in zip(*hits, strict=True))
        _dim(light.reshape(-1), ray, occluder, occluders)
    return np.asarray(light.mean(axis=(1, 2)))


def _wall_hits(lens: Floats, point: Indices, *, subjects: Subjects, walls: Walls) -> Iterator[Hits]:
    """Find the rays that cross a side."""
    seen = see_walls(lens[:, :2], walls)
    n_across, n_up = len(subjects.aside_m), subjects.z_m.shape[1]
    for across, aside in enumerate(subjects.aside_m):
        x, y = step_aside(subjects.xy_m[point], lens[:, :2], aside_m=aside)
        pair = np.flatnonzero(crosses(seen, x_m=x[seen.lens], y_m=y[seen.lens], walls=walls))
        at, wall = seen.lens[pair], seen.wall[pair]
        k = reach_ratio(seen, pair, x_m=x[at], y_m=y[at])
        high = lens[at, 2] + k * (walls.top_m[wall] - lens[at, 2]) - CONTACT_M
        low = lens[at, 2] + k * (walls.base_m[wall] - lens[at, 2]) + CONTACT_M
        z = subjects.z_m[point[at]]
        hit, up = np.nonzero((z < high[:, None]) & (z > low[:, None]))
        yield (at[hit] * n_across + across) * n_up + up, walls.occluder[wall[hit]]


def _inside_hits(lens: Floats, point: Indices, *, subjects: Subjects, occluders: Sequence[Occluder]) -> Iterator[Hits]:
    """Find the rays that pass through a block."""
    n_across, n_up = len(subjects.aside_m), subjects.z_m.shape[1]
    for i, occluder in enumerate(occluders):
        if not occluder.is_closed:
            continue
        for across, aside in enumerate(subjects.aside_m):
            x, y = step_aside(subjects.xy_m[point], lens[:, :2], aside_m=aside)
            for up in range(n_up):
                end = np.column_stack([x, y, subjects.z_m[point, up]])
                hit = np.flatnonzero(pass_inside(occluder, lens_xyz_m=lens, point_xyz_m=end))
                yield (hit * n_across + across) * n_up + up, np.full(len(hit), i)


def step_aside(xy_m: Floats, lens_xy_m: Floats, *, aside_m: float) -> tuple[Floats, Floats]:
    """Move points to the left as seen from their lenses; straight under a lens they stay.

    Parameters
    ----------
    xy_m, lens_xy_m : shape (n, 2)

    Returns
    -------
    x, y : shape (n,)
    """
    dx, dy = (xy_m - lens_xy_m).T
    distance = np.hypot(dx, dy)
    step = np.divide(aside_m, distance, out=np.zeros_like(distance), where=distance > 0.0)
    return xy_m[:, 0] - step * dy, xy_m[:, 1] + step * dx


def _dim(light: Floats, ray: Indices, occluder: Indices, occluders: Sequence[Occluder]) -> None:
    """Multiply rays by the see-through shares of what they pass: walls at each crossing, blocks once."""
    see_through = np.array([o.see_through for o in occluders])
    once = np.array([o.is_closed for o in occluders])[occluder]
    np.multiply.at(light, ray[~once], see_through[occluder[~once]])
    block, block_ray = np.divmod(np.unique(occluder[once] * light.size + ray[once]), light.size)
    np.multiply.at(light, block_ray, see_through[block])
