"""What fixed things leave visible of a subject: exact sightlines from many lenses to many subjects at once.

`geometry/ray.py` says what a subject and an occluder are, `geometry/wall.py` what counts as crossing. They follow
each ray past each occluder, which is exact and slow. Here the same answer is found fast:

1. Subjects are in small groups; a wall is looked at for a group only if its shadow may reach the group's disc,
   and a lens only if none covers all of it.
2. What is left goes through the half-space form in single precision (`geometry/half_space.py`). Of the opaque walls
   that stand on the ground the highest shadow decides.
3. Subjects with a ray so close to the edge of a shadow that single precision cannot tell, or behind a block that is
   seen through or has free space under it, are traced again ray by ray.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import ArrayLike

from standmark.geometry.arrays import Flags, Floats, Indices, Singles
from standmark.geometry.compiled import MOST_ON_ONE_THREAD, kernel
from standmark.geometry.sightlines.compiled_sight import (
    NAME,
    PackedSights,
    compiled_pairs,
    compiled_share,
    is_within,
    pack_sights,
)
from standmark.geometry.sightlines.half_space import HalfSpaces, half_spaces, values_at, with_one
from standmark.geometry.sightlines.occluder import Occluder
from standmark.geometry.sightlines.pair_layer import pairs_in_layers
from standmark.geometry.sightlines.point_group import PointGroups, group_points
from standmark.geometry.sightlines.ray import Subjects, subjects_of, traced_share
from standmark.geometry.sightlines.shadow import Doubt, Shadows, dark_cells, light_through, shadows_at
from standmark.geometry.sightlines.wall import Seen, Walls, see_walls, walls_of

SUBJECT_WIDTH_M = 0.5  # shoulder breadth of an adult in clothes, rounded; common practice, no source
HEIGHT_CELLS = 5

# How the work is cut; none of these changes the answer.
RAYS_AT_ONCE = 1 << 18  # upright rays times walls, for one group
LIKELY_SHARE = 0.05  # of the walls, whose shadow reaches a group
LARGEST_GROUP = 64
TILES_AT_ONCE = 4
LENSES_AT_ONCE = (128, 1024)  # least and most
TRACED_AT_ONCE = 2048


def visible_share(
    camera_xyz_m: ArrayLike,
    target_xyz_m: ArrayLike,
    *,
    subject_m: ArrayLike,
    occluders: Sequence[Occluder],
    subject_width_m: float = SUBJECT_WIDTH_M,
    height_cells: int = HEIGHT_CELLS,
    n_threads: int = 2,
) -> Singles:
    """Share of each subject that fixed occluders leave visible from each lens [0 to 1].

    Parameters
    ----------
    camera_xyz_m : shape (p, 3) [m]
    target_xyz_m : shape (t, 3), middle of the subject [m]
    subject_m : shape (t,) or scalar, height of the subject; it stands on the ground where its middle would put its
        feet below [m]
    occluders : what stands in the way
    subject_width_m : breadth of the subject; 0: a single upright line [m]
    height_cells : rays over the height of each of its lines
    n_threads : threads that share the lenses

    Returns
    -------
    shape (p, t)

    >>> board = Occluder("board", ((-5.0, 1.0), (5.0, 1.0)), 0.0, 0.9)
    >>> visible_share([(0, -4, 0.9)], [(0, 9, 0.9)], subject_m=1.8, occluders=[board], height_cells=10)
    array([[0.5]], dtype=float32)
    """
    camera = np.asarray(camera_xyz_m, float)
    scene = sight_scene(
        target_xyz_m,
        subject_m=subject_m,
        occluders=occluders,
        subject_width_m=subject_width_m,
        height_cells=height_cells,
    )
    return visible_past(camera, scene, n_threads=n_threads)


@dataclass(frozen=True, eq=False)
class SightScene:
    """Subjects and what stands in the way of seeing them; may be asked again and again."""

    subjects: Subjects
    occluders: Sequence[Occluder]

    @cached_property
    def packed(self) -> PackedSights:
        """What the compiled kernel reads."""
        return pack_sights(self.subjects, self.occluders)


def sight_scene(
    target_xyz_m: ArrayLike,
    *,
    subject_m: ArrayLike,
    occluders: Sequence[Occluder],
    subject_width_m: float = SUBJECT_WIDTH_M,
    height_cells: int = HEIGHT_CELLS,
) -> SightScene:
    """Describe subjects and occluders, see `visible_share`."""
    target, height = np.asarray(target_xyz_m, float), np.asarray(subject_m, float)
    return SightScene(subjects_of(target, height, width_m=subject_width_m, height_cells=height_cells), occluders)


def visible_past(camera: Floats, scene: SightScene, *, n_threads: int) -> Singles:
    """Share of each subject of a scene that is visible from each lens, see `visible_share`.

    Parameters
    ----------
    camera : shape (p, 3) [m]
    """
    n_subjects = len(scene.subjects.xy_m)
    if not scene.occluders or not camera.size or not n_subjects:
        return np.ones((len(camera), n_subjects), np.float32)
    compiled = kernel(NAME)
    if compiled is None:
        return _in_numpy(camera, scene, n_threads)
    if n_threads < 2 or len(camera) * n_subjects <= MOST_ON_ONE_THREAD:
        return compiled_share(compiled, camera, scene.packed)
    with ThreadPoolExecutor(n_threads) as pool:
        parts = pool.map(lambda part: compiled_share(compiled, part, scene.packed), np.array_split(camera, n_threads))
        return np.concatenate(list(parts))


def visible_pairs(camera: Floats, subject: Indices, scene: SightScene) -> Singles:
    """Share of one subject that is visible from each lens, as `visible_past` gives it, shape (p,).

    Parameters
    ----------
    camera : shape (p, 3) [m]
    subject : shape (p,), index of the subject that each lens looks at
    """
    compiled = kernel(NAME)
    if compiled is None or not scene.occluders or not camera.size:
        return np.asarray(visible_past(camera, scene, n_threads=1)[np.arange(len(camera)), subject])
    return compiled_pairs(compiled, camera, subject, scene.packed)


def _in_numpy(camera: Floats, scene: SightScene, n_threads: int) -> Singles:
    share = np.empty((len(camera), len(scene.subjects.xy_m)), np.float32)
    at_once = int(np.clip(-(-len(camera) // n_threads), *LENSES_AT_ONCE))
    ready = _scene(scene.subjects, scene.occluders, camera, min(at_once, len(camera)))

    def work(first: int) -> None:
        lenses = slice(first, first + at_once)
        share[lenses] = _block_share(camera[lenses], ready).T

    if n_threads < 2 or len(camera) <= at_once:
        for first in range(0, len(camera), at_once):
            work(first)
    else:
        with ThreadPoolExecutor(n_threads) as pool:
            list(pool.map(work, range(0, len(camera), at_once)))
    return share


@dataclass(frozen=True, eq=False)
class _Scene:
    """Subjects in groups and what stands between."""

    subjects: Subjects
    occluders: Sequence[Occluder]
    walls: Walls
    is_plain: Flags  # shape (n_walls,), opaque and standing on the ground
    needs_tracing: Flags  # shape (n_walls,), of a block with free space under it or seen through
    is_inside: Flags  # shape (n_subjects,), subjects that reach into the footprint of a block
    blocks: shapely.MultiPolygon
    groups: PointGroups
    reach_m: Floats  # shape (n_groups,), radius of a group with half a subject's width
    lowest_m: Floats  # shape (n_groups,), lowest and highest cell of a group
    highest_m: Floats
    hair_m: float  # more than the rounding of single precision


def _scene(subjects: Subjects, occluders: Sequence[Occluder], camera: Floats, at_once: int) -> _Scene:
    walls = walls_of(occluders)
    n_rays = LIKELY_SHARE * max(1, at_once * len(walls.top_m)) * len(subjects.line_m)
    groups = group_points(subjects.xy_m, size=int(np.clip(RAYS_AT_ONCE / n_rays, 4, LARGEST_GROUP)))
    span = np.concatenate([camera[:, :2], subjects.xy_m, walls.start_m, walls.stop_m])
    hair = 2e-6 * (1.0 + 3.0 * float(np.abs(span).max()))
    half_width = float(np.hypot(*subjects.line_m.T).max())
    is_block = np.array([o.is_closed for o in occluders])
    blocks = shapely.MultiPolygon([shapely.Polygon(o.footprint_m) for o in occluders if o.is_closed])
    return _Scene(
        subjects=subjects,
        occluders=occluders,
        walls=walls,
        is_plain=(walls.see_through == 0.0) & (walls.base_m < 0.0),
        needs_tracing=is_block[walls.occluder] & ((walls.see_through > 0.0) | (walls.base_m > 0.0)),
        is_inside=is_within(blocks, subjects.xy_m, half_width + hair),
        blocks=blocks,
        groups=groups,
        reach_m=groups.radius_m + half_width + hair,
        lowest_m=subjects.z_m[groups.index].min(axis=(1, 2)),
        highest_m=subjects.z_m[groups.index].max(axis=(1, 2)),
        hair_m=hair,
    )


@dataclass(frozen=True, eq=False)
class _Lenses:
    """A few lenses, and the walls as they see them."""

    xyz_m: Floats  # shape (n, 3)
    seen: Seen
    spaces: HalfSpaces
    is_inside: Flags  # shape (n,), over or at the footprint of a block


def _block_share(lens_xyz: Floats, scene: _Scene) -> Singles:
    """Visible share for a few lenses, shape (n_subjects, n_lenses)."""
    seen = see_walls(lens_xyz[:, :2], scene.walls)
    is_inside = is_within(scene.blocks, lens_xyz[:, :2], scene.hair_m)
    lenses = _Lenses(lens_xyz, seen, half_spaces(seen, lens_xyz[:, 2], walls=scene.walls), is_inside)
    share = np.ones((len(scene.subjects.xy_m), len(lens_xyz)), np.float32)
    doubts = [np.nonzero(scene.is_inside[:, None] | lenses.is_inside)]
    centre = with_one(scene.groups.centre_m)
    for first in range(0, len(centre), TILES_AT_ONCE):
        depths = values_at(centre[first : first + TILES_AT_ONCE], lenses.spaces.columns)
        for group, depth in enumerate(depths, start=first):
            pair, is_dark = _pairs_in_reach(group, depth, lenses, scene)
            if len(pair) or is_dark.any():
                share[scene.groups.index[group]], unsure = _group_share(group, pair, is_dark, lenses, scene)
                doubts += unsure
    subject, lens = (np.concatenate(part) for part in zip(*doubts, strict=True))
    for first in range(0, len(subject), TRACED_AT_ONCE):
        at = subject[first : first + TRACED_AT_ONCE], lens[first : first + TRACED_AT_ONCE]
        share[at] = traced_share(
            lens_xyz[at[1]], at[0], subjects=scene.subjects, walls=scene.walls, occluders=scene.occluders
        )
    return share


def _group_share(
    group: int, pair: Indices, is_dark: Flags, lenses: _Lenses, scene: _Scene
) -> tuple[Singles, list[Doubt]]:
    """Visible share of the subjects of one group, shape (size, n_lenses), and what needs tracing."""
    subject, is_plain = scene.groups.index[group], scene.is_plain[lenses.seen.wall[pair]]
    n_lines, n_up = len(scene.subjects.line_m), scene.subjects.z_m.shape[1]
    dark = np.zeros((len(subject) * n_lines, len(lenses.xyz_m)), np.float32)
    dark[:, is_dark] = n_up
    doubts = []
    if is_plain.any():
        doubts.append(_add_dark(dark, _shadows(subject, pair[is_plain], lenses, scene), subject, scene))
    if not is_plain.all():
        doubts.append(_add_nets(dark, _shadows(subject, pair[~is_plain], lenses, scene), subject, lenses, scene))
    share = dark if n_lines == 1 else dark.reshape(len(subject), n_lines, -1).sum(axis=1)
    share *= np.float32(-1.0 / (n_lines * n_up))
    share += 1.0
    return share, [(subject[line // n_lines], lens) for line, lens in doubts]


def _pairs_in_reach(group: int, depth: Singles, lenses: _Lenses, scene: _Scene) -> tuple[Indices, Flags]:
    """Pairs of lens and wall whose shadow may reach a group, and lenses for which one covers all of it.

    Parameters
    ----------
    depth : shape (3, n_pairs), depths of the centre of the group

    Returns
    -------
    pair : shape (r,), of the other lenses
    is_dark : shape (n_lenses,)
    """
    reach, seen = np.float32(scene.reach_m[group]), lenses.seen
    worst = np.maximum(np.maximum(depth[0], depth[1]), depth[2])
    pair = np.flatnonzero(worst < reach)
    top, _, rise, _ = lenses.spaces.table.take(pair, axis=0)[:, 9:].T
    beyond, slack = depth[2, pair], np.float32(scene.hair_m) * (1.0 + np.abs(rise))
    lowest = top + rise * beyond - np.abs(rise) * reach - slack
    covers = (worst[pair] < -reach) & (lowest > scene.highest_m[group]) & scene.is_plain[seen.wall[pair]]
    is_dark = np.zeros(len(lenses.xyz_m), bool)
    is_dark[seen.lens[pair[covers]]] = True
    highest = top + rise * np.minimum(beyond + np.copysign(reach, rise), 0.0) + slack
    return pair[(highest > scene.lowest_m[group]) & ~is_dark[seen.lens[pair]]], is_dark


def _shadows(subject: Indices, pair: Indices, lenses: _Lenses, scene: _Scene) -> Shadows:
    """Shadows of some walls at the lines of some subjects."""
    point = with_one(scene.subjects.lines_xy_m(subject).reshape(-1, 2))
    layers = pairs_in_layers(pair, lenses.seen.lens[pair])
    return shadows_at(lenses.spaces, layers, point=point, hair_m=scene.hair_m)


def _add_dark(dark: Singles, shadows: Shadows, subject: Indices, scene: _Scene) -> Doubt:
    """Add the cells that opaque walls on the ground hide."""
    z = scene.subjects.z_m[subject].repeat(len(scene.subjects.line_m), axis=0).astype(np.float32)
    n_up = z.shape[1]
    cell = np.maximum(z[:, -1:] - z[:, :1], 1e-3 * n_up) / (n_up - 1) if n_up > 1 else np.ones_like(z)
    dark[:, shadows.layers.lens], doubt = dark_cells(shadows, lowest_m=z[:, :1], cell_m=cell, n_up=n_up)
    return doubt


def _add_nets(dark: Singles, shadows: Shadows, subject: Indices, lenses: _Lenses, scene: _Scene) -> Doubt:
    """Add what see-through and raised walls take from the cells that are not dark yet."""
    lens, wall = shadows.layers.lens, lenses.seen.wall[shadows.layers.pair]
    z = scene.subjects.z_m[subject].repeat(len(scene.subjects.line_m), axis=0).astype(np.float32)
    see_through = scene.walls.see_through[wall].astype(np.float32)
    light, doubt = light_through(shadows, z_m=z, see_through=see_through, is_doubtful=scene.needs_tracing[wall])
    taken = np.subtract(1.0, light, out=light)
    if light.shape[1] == 1:
        dark[:, lens] += taken[:, 0] * (z.shape[1] - dark[:, lens])
    else:
        is_lit = np.arange(z.shape[1], dtype=np.float32)[:, None] >= dark[:, None, lens]
        dark[:, lens] += (taken * is_lit).sum(axis=1)
    return doubt
