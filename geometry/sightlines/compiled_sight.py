"""Visible shares by the compiled kernel: what it reads, as plain arrays, and what it leaves to be traced.

`sight_kernel.c` names every field; the order here and there is the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from types import ModuleType

import numpy as np
import shapely
from numpy.typing import NDArray

from standmark.geometry.arrays import Flags, Floats, Indices, Singles
from standmark.geometry.sightlines.occluder import Occluder
from standmark.geometry.sightlines.point_group import group_points
from standmark.geometry.sightlines.ray import Subjects, traced_share
from standmark.geometry.sightlines.wall import Walls, walls_of

NAME = "standmark.geometry.sightlines.sight_kernel"
TILE = 16
GROUP = 8
SLACK_M = 1e-6
TRACED_AT_ONCE = 2048


@dataclass(frozen=True, eq=False)
class PackedSights:
    """Subjects in tiles, and what stands between."""

    subjects: Subjects
    occluders: Sequence[Occluder]
    walls: Walls
    blocks: shapely.MultiPolygon
    is_inside: Flags  # shape (n,), subjects that reach into the footprint of a block
    wall_rows: Floats  # shape (n_walls, 8)
    tiles: Floats  # shape (n_tiles, 5), disc round each tile: centre, radius, lowest and highest cell
    groups: Floats  # shape (n_groups, 5)
    lines_m: Floats  # shape (n_tiles, n_lines, 2, TILE)
    cells_m: Floats  # shape (n_tiles, n_up, TILE)
    subject: NDArray[np.int32]  # shape (n_tiles, TILE)


def pack_sights(subjects: Subjects, occluders: Sequence[Occluder]) -> PackedSights:
    """Pack what hangs on no lens.

    Parameters
    ----------
    subjects : at least one
    occluders : at least one
    """
    walls = walls_of(occluders)
    is_block = np.array([o.is_closed for o in occluders])[walls.occluder]
    needs_tracing = is_block & ((walls.see_through > 0.0) | (walls.base_m > 0.0))
    groups, half_width = group_points(subjects.xy_m, size=TILE), float(np.hypot(*subjects.line_m.T).max())
    cells = subjects.z_m[groups.index]
    reach = groups.radius_m + half_width + SLACK_M
    tiles = np.column_stack([groups.centre_m, reach, cells.min(axis=(1, 2)), cells.max(axis=(1, 2))])
    blocks = shapely.MultiPolygon([shapely.Polygon(o.footprint_m) for o in occluders if o.is_closed])
    ends = [walls.start_m, walls.stop_m, walls.base_m, walls.top_m, walls.see_through, needs_tracing]
    return PackedSights(
        subjects=subjects,
        occluders=occluders,
        walls=walls,
        blocks=blocks,
        is_inside=is_within(blocks, subjects.xy_m, half_width + SLACK_M),
        wall_rows=np.column_stack(ends),
        tiles=tiles,
        groups=np.array([_disc_round(tiles[i : i + GROUP]) for i in range(0, len(tiles), GROUP)]),
        lines_m=np.ascontiguousarray(subjects.lines_xy_m(groups.index).transpose(0, 2, 3, 1)),
        cells_m=np.ascontiguousarray(cells.transpose(0, 2, 1)),
        subject=groups.index.astype(np.int32),
    )


def is_within(blocks: shapely.MultiPolygon, xy_m: Floats, reach_m: float) -> Flags:
    """Tell which places are in a block's footprint or within a reach of it, shape (n,)."""
    if blocks.is_empty:
        return np.zeros(len(xy_m), bool)
    return np.asarray(shapely.dwithin(blocks, shapely.points(xy_m), reach_m))


def compiled_share(compiled: ModuleType, lens_xyz_m: Floats, packed: PackedSights) -> Singles:
    """Visible share of each subject from each lens, as `sightline.visible_share` gives it, shape (p, n)."""
    lens = np.ascontiguousarray(lens_xyz_m, np.float64)
    share, doubt, n_doubt = _swept(compiled, lens, packed)
    if n_doubt:
        lenses, subjects = np.nonzero(doubt)
        _trace(share, lenses, subjects, lens, packed)
    return share


def compiled_pairs(compiled: ModuleType, lens_xyz_m: Floats, subject: Indices, packed: PackedSights) -> Singles:
    """Visible share of one subject from each lens, shape (p,)."""
    lens = np.ascontiguousarray(lens_xyz_m, np.float64)
    share, doubt, _ = _swept(compiled, lens, packed)
    row = np.arange(len(lens))
    unsure = np.flatnonzero(doubt[row, subject])
    _trace(share, unsure, subject[unsure], lens, packed)
    return np.asarray(share[row, subject])


def _swept(compiled: ModuleType, lens: Floats, packed: PackedSights) -> tuple[Singles, Flags, int]:
    """Shares in single precision, which of them are in doubt, shape (p, n) each, and how many."""
    shape = len(lens), len(packed.subjects.xy_m)
    share, doubt = np.empty(shape, np.float32), np.zeros(shape, bool)
    n_doubt = compiled.visible_share(
        *(share, doubt, lens, packed.wall_rows, packed.tiles, packed.groups),
        *(packed.lines_m, packed.cells_m, packed.subject),
    )
    if not packed.blocks.is_empty:
        doubt |= packed.is_inside | is_within(packed.blocks, lens[:, :2], SLACK_M)[:, None]
        n_doubt = np.count_nonzero(doubt)
    return share, doubt, n_doubt


def _trace(share: Singles, lenses: Indices, subjects: Indices, lens: Floats, packed: PackedSights) -> None:
    """Follow every ray of the pairs in doubt."""
    for first in range(0, len(lenses), TRACED_AT_ONCE):
        at = lenses[first : first + TRACED_AT_ONCE], subjects[first : first + TRACED_AT_ONCE]
        share[at] = traced_share(
            lens[at[0]], at[1], subjects=packed.subjects, walls=packed.walls, occluders=packed.occluders
        )


def _disc_round(tiles: Floats) -> Floats:
    """Disc round some tiles, shape (5,)."""
    centre = 0.5 * (tiles[:, :2].min(axis=0) + tiles[:, :2].max(axis=0))
    reach = (np.hypot(*(tiles[:, :2] - centre).T) + tiles[:, 2]).max()
    return np.array([*centre, reach, tiles[:, 3].min(), tiles[:, 4].max()])
