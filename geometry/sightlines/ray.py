"""Subjects as bundles of rays, and rays cut by occluders one by one in double precision.

A subject is four upright lines round its axis, at the distance that gives them the spread of its breadth from every
side (breadth / sqrt 6); a ray goes to the middle of each of the equal cells of each line. A line footprint is a wall:
every crossing is one layer, and the see-through shares of layers multiply. A closed footprint is a solid block with a
flat top and base: a ray that passes through its inside is dimmed once; with base and top equal it is a sheet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Indices
from standmark.geometry.sightlines.occluder import Occluder
from standmark.geometry.sightlines.through_block import pass_inside
from standmark.geometry.sightlines.wall import CONTACT_M, Walls, crosses, reach_ratio, see_walls, walls_near

Hits = tuple[Indices, Indices]  # flat index of the ray, index of the occluder

ROUND_THE_AXIS = np.array([(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)])


@dataclass(frozen=True, eq=False)
class Subjects:
    """Bodies as upright lines in cells."""

    xy_m: Floats  # shape (n, 2)
    line_m: Floats  # shape (n_lines, 2), the lines from the axis
    z_m: Floats  # shape (n, n_up), middles of the cells

    def lines_xy_m(self, subject: Indices) -> Floats:
        """Lines of some subjects, shape (..., n_lines, 2)."""
        return np.asarray(self.xy_m[subject][..., None, :] + self.line_m)


def subjects_of(target_xyz_m: Floats, height_m: Floats, *, width_m: float, height_cells: int) -> Subjects:
    """Cut subjects into lines and cells.

    Parameters
    ----------
    target_xyz_m : shape (n, 3), middle of the subject; it stands on the ground where that would put its feet below
    height_m : shape (n,) or scalar
    width_m : breadth; 0: a single line
    """
    height = np.broadcast_to(height_m, len(target_xyz_m))[:, None]
    feet = np.maximum(target_xyz_m[:, 2, None] - 0.5 * height, 0.0)
    up = (np.arange(height_cells) + 0.5) / height_cells
    line = ROUND_THE_AXIS * width_m / math.sqrt(6.0) if width_m > 0.0 else np.zeros((1, 2))
    return Subjects(target_xyz_m[:, :2], line, feet + height * up)


def traced_share(
    lens_xyz_m: Floats, subject: Indices, *, subjects: Subjects, walls: Walls, occluders: Sequence[Occluder]
) -> Floats:
    """Visible share of subjects, each from its own lens, by following every ray past every occluder.

    Parameters
    ----------
    lens_xyz_m : shape (n, 3)
    subject : shape (n,), which subject each lens looks at

    Returns
    -------
    shape (n,)
    """
    light = np.ones((len(subject), len(subjects.line_m), subjects.z_m.shape[1]))
    xy, z = subjects.lines_xy_m(subject), subjects.z_m[subject]
    hits = [
        *_wall_hits(lens_xyz_m, xy, z, walls=walls),
        *_inside_hits(lens_xyz_m, xy, z, occluders=occluders),
    ]
    if hits:
        ray, occluder = (np.concatenate(part) for part in zip(*hits, strict=True))
        _dim(light.reshape(-1), ray, occluder, occluders)
    return np.asarray(light.mean(axis=(1, 2)))


def _wall_hits(lens: Floats, xy: Floats, z: Floats, *, walls: Walls) -> Iterator[Hits]:
    """Find the rays that cross a side."""
    ends = np.concatenate([lens[:, None, :2], xy], axis=1)
    seen = see_walls(lens[:, :2], walls, near=walls_near(ends.min(axis=1), ends.max(axis=1), walls))
    n_lines, n_up = xy.shape[1], z.shape[1]
    for line in range(n_lines):
        x, y = xy[:, line].T
        pair = np.flatnonzero(crosses(seen, x_m=x[seen.lens], y_m=y[seen.lens], walls=walls))
        at, wall = seen.lens[pair], seen.wall[pair]
        k = reach_ratio(seen, pair, x_m=x[at], y_m=y[at])
        high = lens[at, 2] + k * (walls.top_m[wall] - lens[at, 2]) - CONTACT_M
        low = lens[at, 2] + k * (walls.base_m[wall] - lens[at, 2]) + CONTACT_M
        hit, up = np.nonzero((z[at] < high[:, None]) & (z[at] > low[:, None]))
        yield (at[hit] * n_lines + line) * n_up + up, walls.occluder[wall[hit]]


def _inside_hits(lens: Floats, xy: Floats, z: Floats, *, occluders: Sequence[Occluder]) -> Iterator[Hits]:
    """Find the rays that pass through a block."""
    n_lines, n_up = xy.shape[1], z.shape[1]
    start = np.repeat(lens, n_lines * n_up, axis=0)
    end = np.column_stack([np.repeat(xy.reshape(-1, 2), n_up, axis=0), np.repeat(z, n_lines, axis=0).reshape(-1)])
    for i, occluder in enumerate(occluders):
        if occluder.is_closed:
            hit = np.flatnonzero(pass_inside(occluder, lens_xyz_m=start, point_xyz_m=end))
            yield hit, np.full(len(hit), i)


def _dim(light: Floats, ray: Indices, occluder: Indices, occluders: Sequence[Occluder]) -> None:
    """Multiply rays by the see-through shares of what they pass: walls at each crossing, blocks once."""
    see_through = np.array([o.see_through for o in occluders])
    once = np.array([o.is_closed for o in occluders])[occluder]
    np.multiply.at(light, ray[~once], see_through[occluder[~once]])
    block, block_ray = np.divmod(np.unique(occluder[once] * light.size + ray[once]), light.size)
    np.multiply.at(light, block_ray, see_through[block])
