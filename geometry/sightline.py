"""What fixed things leave visible of a subject: exact sightlines from many lenses to many subjects at once.

`geometry/ray.py` says what a subject and an occluder are, `geometry/wall.py` what counts as crossing. They follow
each ray past each occluder, which is exact and slow. Here the same answer is found fast:

1. Subjects are grouped in small tiles; a wall is looked at for a tile only if its shadow may reach the tile's disc.
2. What is left goes through the half-plane form in single precision with an interval for the rounding
   (`geometry/half_space.py`). For opaque walls that stand on the ground the highest shadow decides.
3. Subjects with a ray so close to the edge of a shadow that single precision cannot tell, or behind a block that has
   free space under it, are traced again ray by ray.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from standmark.geometry.half_space import HalfSpaces, half_spaces, values_at, with_one
from standmark.geometry.occluder import Occluder
from standmark.geometry.ray import Subjects, subjects_of, traced_share
from standmark.geometry.shadow import Shadows, dark_cells, light_through, shadows_at
from standmark.geometry.stack import stack_by_lens
from standmark.geometry.tile import Tiles, tile_points
from standmark.geometry.wall import Seen, Walls, see_walls, walls_of

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]

SUBJECT_WIDTH_M = 0.5  # shoulder breadth of an adult in clothes, rounded; common practice, no source
HEIGHT_CELLS = 5
WIDTH_CELLS = 3
RAYS_AT_ONCE = 1 << 14  # for one tile, so that the work stays in the cache
LIKELY_SHARE = 0.06  # of the walls whose shadow reaches a tile; sets the size of tiles, not the result
LARGEST_TILE = 256
TILES_AT_ONCE = 4
LENSES_AT_ONCE = 256
TRACED_AT_ONCE = 2048


def visible_share(
    camera_xyz_m: ArrayLike,
    target_xyz_m: ArrayLike,
    *,
    subject_m: ArrayLike,
    occluders: Sequence[Occluder],
    subject_width_m: float = SUBJECT_WIDTH_M,
    height_cells: int = HEIGHT_CELLS,
    width_cells: int = WIDTH_CELLS,
    n_threads: int = 2,
) -> Floats:
    """Share of each subject that fixed occluders leave visible from each lens [0 to 1].

    Parameters
    ----------
    camera_xyz_m : shape (p, 3) [m]
    target_xyz_m : shape (t, 3), middle of the subject [m]
    subject_m : shape (t,) or scalar, height of the subject; it stands on the ground where its middle would put its
        feet below [m]
    occluders : what stands in the way
    subject_width_m : width of the subject [m]
    height_cells, width_cells : rays over the height and the width
    n_threads : threads that share the lenses

    Returns
    -------
    shape (p, t)

    >>> board = Occluder("board", ((-5.0, 1.0), (5.0, 1.0)), 0.0, 0.9)
    >>> visible_share([(0, -4, 0.9)], [(0, 9, 0.9)], subject_m=1.8, occluders=[board], height_cells=10).round(2)
    array([[0.5]])
    """
    camera, target = np.asarray(camera_xyz_m, float), np.asarray(target_xyz_m, float)
    share = np.ones((len(camera), len(target)))
    if not occluders or not share.size:
        return share
    subjects = subjects_of(
        target,
        np.asarray(subject_m, float),
        width_m=subject_width_m,
        height_cells=height_cells,
        width_cells=width_cells,
    )
    scene = _scene(subjects, occluders, camera)

    def work(first: int) -> None:
        lenses = slice(first, first + LENSES_AT_ONCE)
        share[lenses] = _block_share(camera[lenses], scene).T

    blocks = range(0, len(camera), LENSES_AT_ONCE)
    if min(n_threads, len(blocks)) < 2:
        for first in blocks:
            work(first)
    else:
        with ThreadPoolExecutor(n_threads) as pool:
            list(pool.map(work, blocks))
    return share


@dataclass(frozen=True, eq=False)
class _Scene:
    """Subjects in tiles and what stands between."""

    subjects: Subjects
    occluders: Sequence[Occluder]
    walls: Walls
    is_plain: Flags  # shape (n_walls,), opaque and standing on the ground
    needs_tracing: Flags  # shape (n_walls,), of a block with free space under it or seen through
    is_inside: Flags  # shape (n_points,), subjects that reach into the footprint of a block
    blocks: shapely.MultiPolygon
    tiles: Tiles
    reach_m: Floats  # shape (n_tiles,), radius of a tile with half a subject's width
    lowest_m: Floats  # shape (n_tiles,), lowest and highest cell of a tile
    highest_m: Floats
    hair_m: float  # more than the rounding of single precision


def _scene(subjects: Subjects, occluders: Sequence[Occluder], camera: Floats) -> _Scene:
    walls = walls_of(occluders)
    tiles = tile_points(subjects.xy_m, size=_tile_size(min(len(camera), LENSES_AT_ONCE) * len(walls.top_m)))
    span = np.concatenate([camera[:, :2], subjects.xy_m, walls.start_m, walls.stop_m])
    hair = 2e-6 * (1.0 + 3.0 * float(np.abs(span).max()))
    half_width = float(np.abs(subjects.aside_m).max())
    is_block = np.array([o.is_closed for o in occluders])
    blocks = shapely.MultiPolygon([shapely.Polygon(o.footprint_m) for o in occluders if o.is_closed])
    return _Scene(
        subjects=subjects,
        occluders=occluders,
        walls=walls,
        is_plain=(walls.see_through == 0.0) & (walls.base_m < 0.0),
        needs_tracing=is_block[walls.occluder] & ((walls.see_through > 0.0) | (walls.base_m > 0.0)),
        is_inside=np.asarray(shapely.dwithin(blocks, shapely.points(subjects.xy_m), half_width + hair)),
        blocks=blocks,
        tiles=tiles,
        reach_m=tiles.radius_m + half_width + hair,
        lowest_m=subjects.z_m[tiles.index].min(axis=(1, 2)),
        highest_m=subjects.z_m[tiles.index].max(axis=(1, 2)),
        hair_m=hair,
    )


def _tile_size(n_pairs: int) -> int:
    """Points to a tile for a number of pairs of lens and wall: enough work at once, but no more than a cache holds."""
    return int(np.clip(RAYS_AT_ONCE / (LIKELY_SHARE * max(1, n_pairs)), 16, LARGEST_TILE))


@dataclass(frozen=True, eq=False)
class _Lenses:
    """A few lenses, and the walls as they see them."""

    xyz_m: Floats  # shape (n, 3)
    seen: Seen
    spaces: HalfSpaces
    is_inside: Flags  # shape (n,), over or at the footprint of a block


def _block_share(lens_xyz: Floats, scene: _Scene) -> Floats:
    """Visible share for a few lenses, shape (n_points, n_lenses)."""
    seen = see_walls(lens_xyz[:, :2], scene.walls)
    is_inside = shapely.dwithin(scene.blocks, shapely.points(lens_xyz[:, :2]), scene.hair_m)
    lenses = _Lenses(lens_xyz, seen, half_spaces(seen, lens_xyz[:, 2], walls=scene.walls), np.asarray(is_inside))
    share = np.ones((len(scene.subjects.xy_m), len(lens_xyz)))
    doubt = np.zeros(share.shape, bool)
    centre = with_one(scene.tiles.centre_m)
    for first in range(0, len(centre), TILES_AT_ONCE):
        chunk = slice(first, first + TILES_AT_ONCE)
        for tile, depth in enumerate(values_at(centre[chunk], lenses.spaces.columns), start=first):
            point = scene.tiles.index[tile]
            share[point], doubt[point] = _tile_share(tile, depth, lenses, scene)
    point, lens = np.nonzero(doubt)
    for first in range(0, len(point), TRACED_AT_ONCE):
        at = point[first : first + TRACED_AT_ONCE], lens[first : first + TRACED_AT_ONCE]
        share[at] = traced_share(
            lens_xyz[at[1]], at[0], subjects=scene.subjects, walls=scene.walls, occluders=scene.occluders
        )
    return share


def _pairs_in_reach(tile: int, depth: Singles, lenses: _Lenses, scene: _Scene) -> tuple[Indices, Flags]:
    """Pairs of lens and wall whose shadow may reach a tile, and lenses for which one covers all of it.

    Parameters
    ----------
    depth : shape (3, n_pairs), depths of the centre of the tile

    Returns
    -------
    pair : shape (r,), of the other lenses
    is_dark : shape (n_lenses,)
    """
    reach, seen = np.float32(scene.reach_m[tile]), lenses.seen
    worst = np.maximum(np.maximum(depth[0], depth[1]), depth[2])
    pair = np.flatnonzero(worst < reach)
    top, _, rise, _ = lenses.spaces.table.take(pair, axis=0)[:, 18:].T
    beyond, slack = depth[2, pair], np.float32(scene.hair_m) * (1.0 + np.abs(rise))
    lowest = top + rise * beyond - np.abs(rise) * reach - slack
    covers = (worst[pair] < -reach) & (lowest > scene.highest_m[tile]) & scene.is_plain[seen.wall[pair]]
    is_dark = np.zeros(len(lenses.xyz_m), bool)
    is_dark[seen.lens[pair[covers]]] = True
    highest = top + rise * np.minimum(beyond + np.copysign(reach, rise), 0.0) + slack
    return pair[(highest > scene.lowest_m[tile]) & ~is_dark[seen.lens[pair]]], is_dark


def _tile_share(tile: int, depth: Singles, lenses: _Lenses, scene: _Scene) -> tuple[Singles, Flags]:
    """Visible share of the subjects of one tile and whether it needs tracing, shape (n_points, n_lenses)."""
    pair, is_dark = _pairs_in_reach(tile, depth, lenses, scene)
    point, is_plain = scene.tiles.index[tile], scene.is_plain[lenses.seen.wall[pair]]
    plain, nets = (_shadows(tile, pair[chosen], lenses, scene) for chosen in (is_plain, ~is_plain))
    doubt = lenses.is_inside | scene.is_inside[point, None]
    n_cells = scene.subjects.z_m.shape[1] * len(scene.subjects.aside_m)
    lit = np.full(doubt.shape, np.float32(n_cells))
    for aside in scene.subjects.aside_m:
        dark = _dark(plain, doubt, tile, aside, scene)
        lit -= dark
        if nets is not None:
            lit[:, nets.stack.lens] -= _dimmed(nets, dark[:, nets.stack.lens], doubt, tile, aside, lenses, scene)
    lit /= n_cells
    lit[:, is_dark], doubt[:, is_dark] = 0.0, False
    return lit, doubt


def _shadows(tile: int, pair: Indices, lenses: _Lenses, scene: _Scene) -> Shadows | None:
    """Shadows of some walls near a tile; None without any."""
    if not len(pair):
        return None
    stack = stack_by_lens(pair, lenses.seen.lens[pair])
    xy = scene.subjects.xy_m[scene.tiles.index[tile]]
    away = None
    if np.any(scene.subjects.aside_m):
        dx, dy = (xy[:, None] - lenses.xyz_m[stack.lens, :2]).transpose(2, 0, 1).astype(np.float32)
        away = np.sqrt(dx * dx + dy * dy)
        away[away == 0.0] = np.inf
        away = np.concatenate([away[:, :n] for n in stack.size], axis=1)
    return shadows_at(lenses.spaces, stack, point=with_one(xy), away_m=away, hair_m=scene.hair_m)


def _dark(plain: Shadows | None, doubt: Flags, tile: int, aside: float, scene: _Scene) -> Singles:
    """Count the cells at one offset that opaque walls on the ground hide, shape (n_points, n_lenses)."""
    dark = np.zeros(doubt.shape, np.float32)
    if plain is not None:
        z = scene.subjects.z_m[scene.tiles.index[tile]].astype(np.float32)
        dark[:, plain.stack.lens], unsure = dark_cells(plain, aside_m=aside, z_m=z)
        doubt[:, plain.stack.lens] |= unsure
    return dark


def _dimmed(
    nets: Shadows, dark: Singles, doubt: Flags, tile: int, aside: float, lenses: _Lenses, scene: _Scene
) -> Singles:
    """Light that see-through and raised walls take from the cells that are not dark, summed over the height."""
    wall = lenses.seen.wall[nets.stack.pair]
    see_through = scene.walls.see_through[wall].astype(np.float32)
    z = scene.subjects.z_m[scene.tiles.index[tile]].astype(np.float32)
    light, unsure = light_through(
        nets, aside_m=aside, z_m=z, see_through=see_through, is_doubtful=scene.needs_tracing[wall]
    )
    doubt[:, nets.stack.lens] |= unsure
    up = np.arange(z.shape[1], dtype=np.float32)[:, None]
    return np.asarray(((1.0 - light) * (up >= dark[:, None])).sum(axis=1, dtype=np.float32))
