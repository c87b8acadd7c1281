"""The faces of fixed occluders as columns, and the exact tests of rays against them.

A ray runs from a lens C to a point T. Seen from above, with p = T - C and a wall from A to B:

    g(V) = (V - C) x p / |V - C|      how far p passes beside the direction of the corner V, left or right [m]
    q    = u x p,  u = (B - A)/|B - A|, turned so that C lies at a distance d > 0 on its left

The ray crosses the wall when A and B lie strictly on either side of it and T strictly beyond, q < -d. All are linear
in T; nothing is divided. The ray crosses at the share 1/k of its way, k = -q/d, so it passes the wall at the height h
if it ends at ``z_C + k (h - z_C)``: what lies between the values for base and top is hidden.

Contact is not blocking: a ray that only touches an end, an edge or a face of an occluder passes, and so does one
along a wall. A ray through a corner between two faces is blocked if the faces leave the corner on either side of it.
Contact is anything within `CONTACT_M`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Flags, Floats, Indices
from standmark.geometry.sightlines.occluder import Occluder

CONTACT_M = 1e-9  # nearer than this is touching


@dataclass(frozen=True, eq=False)
class Walls:
    """One row for each edge of a footprint; the edges of an occluder follow one another."""

    start_m: Floats  # shape (n, 2)
    stop_m: Floats  # shape (n, 2)
    base_m: Floats  # shape (n,), far below ground for what stands on it
    top_m: Floats  # shape (n,)
    see_through: Floats  # shape (n,)
    occluder: Indices  # shape (n,), index of the occluder
    corner: Indices  # shape (n,), index of the start among the corners of its occluder
    corners_m: tuple[Floats, ...]  # for each occluder, shape (n_corners, 2)
    is_loop: Flags  # shape (n_occluders,), the last corner is joined to the first


def walls_of(occluders: Sequence[Occluder]) -> Walls:
    """List the edges of all footprints. Repeated corners are dropped; a line that ends where it began is a loop."""
    footprints = [np.asarray(o.footprint_m, float) for o in occluders]
    loops = [o.is_closed or _is_same(f[0], f[-1]) for o, f in zip(occluders, footprints, strict=True)]
    corners = tuple(_distinct(f, is_loop=loop) for f, loop in zip(footprints, loops, strict=True))
    count = np.array([(len(c) > 1) * (len(c) - (not loop)) for c, loop in zip(corners, loops, strict=True)], int)
    starts = [c[:n] for c, n in zip(corners, count, strict=True)]
    stops = [np.roll(c, -1, axis=0)[:n] for c, n in zip(corners, count, strict=True)]
    owner = np.repeat(np.arange(len(corners)), count)
    base = np.array([-1e6 if o.base_m <= 0.0 else o.base_m for o in occluders], float)
    return Walls(
        start_m=np.concatenate([*starts, np.empty((0, 2))]),
        stop_m=np.concatenate([*stops, np.empty((0, 2))]),
        base_m=base[owner],
        top_m=np.array([o.top_m for o in occluders], float)[owner],
        see_through=np.array([o.see_through for o in occluders], float)[owner],
        occluder=owner,
        corner=np.concatenate([*(np.arange(n) for n in count), np.empty(0, int)]).astype(np.intp),
        corners_m=corners,
        is_loop=np.array(loops, bool),
    )


def _is_same(a: Floats, b: Floats) -> bool:
    return bool(np.hypot(*(a - b)) <= CONTACT_M)


def _distinct(corners: Floats, *, is_loop: bool) -> Floats:
    """Corners that differ from the one before; the first of a line always."""
    keep = np.hypot(*(corners - np.roll(corners, 1, axis=0)).T) > CONTACT_M
    keep[0] = True
    if is_loop and len(corners) > 1 and _is_same(corners[0], corners[keep][-1]):
        return np.asarray(corners[keep][:-1])
    return np.asarray(corners[keep])


@dataclass(frozen=True, eq=False)
class Seen:
    """Pairs of a lens and a wall turned so that the lens is on its left; walls seen edge-on are left out."""

    lens: Indices  # shape (n,)
    wall: Indices  # shape (n,)
    lens_xy_m: Floats  # shape (n, 2)
    left: Floats  # shape (n, 2), unit vector from the lens to the end on the left
    right: Floats  # shape (n, 2), to the end on the right
    along: Floats  # shape (n, 2), unit vector along the wall
    distance_m: Floats  # shape (n,), from the lens to the line of the wall


def see_walls(lens_xy_m: Floats, walls: Walls, *, near: Flags | None = None) -> Seen:
    """Turn every wall for every lens.

    Parameters
    ----------
    lens_xy_m : shape (n_lenses, 2)
    near : shape (n_lenses, n_walls), pairs to look at; None: all
    """
    along = _unit(walls.stop_m - walls.start_m)
    away = lens_xy_m[:, None] - walls.start_m
    distance = along[:, 0] * away[..., 1] - along[:, 1] * away[..., 0]
    is_seen = np.abs(distance) > CONTACT_M
    lens, wall = np.nonzero(is_seen if near is None else is_seen & near)
    turn = np.sign(distance[lens, wall])
    to_start, to_stop = walls.start_m[wall] - lens_xy_m[lens], walls.stop_m[wall] - lens_xy_m[lens]
    is_left = turn[:, None] > 0.0
    return Seen(
        lens=lens,
        wall=wall,
        lens_xy_m=lens_xy_m[lens],
        left=_unit(np.where(is_left, to_stop, to_start)),
        right=_unit(np.where(is_left, to_start, to_stop)),
        along=along[wall] * turn[:, None],
        distance_m=np.abs(distance[lens, wall]),
    )


def walls_near(low_xy_m: Floats, high_xy_m: Floats, walls: Walls) -> Flags:
    """Tell which walls have a point in or at a box: none other can be crossed by what stays in the box.

    Parameters
    ----------
    low_xy_m, high_xy_m : shape (n, 2), corners of n boxes

    Returns
    -------
    shape (n, n_walls)
    """
    low = np.minimum(walls.start_m, walls.stop_m) - 2.0 * CONTACT_M
    high = np.maximum(walls.start_m, walls.stop_m) + 2.0 * CONTACT_M
    is_near = (low_xy_m[:, None, 0] <= high[:, 0]) & (high_xy_m[:, None, 0] >= low[:, 0])
    is_near &= (low_xy_m[:, None, 1] <= high[:, 1]) & (high_xy_m[:, None, 1] >= low[:, 1])
    return np.asarray(is_near)


def _unit(vector: Floats) -> Floats:
    return np.asarray(vector / np.hypot(vector[..., 0], vector[..., 1])[..., None])


def crosses(seen: Seen, *, x_m: Floats, y_m: Floats, walls: Walls) -> Flags:
    """Tell which rays cross their wall on the way from the lens to a point.

    Parameters
    ----------
    seen : n pairs of lens and wall
    x_m, y_m : shape (n,), the points

    Returns
    -------
    shape (n,)
    """
    px, py = x_m - seen.lens_xy_m[:, 0], y_m - seen.lens_xy_m[:, 1]
    beyond = -_cross(seen.along, px, py) - seen.distance_m
    inside = np.minimum(_cross(seen.right, px, py), -_cross(seen.left, px, py))
    is_hit = np.minimum(inside, beyond) > CONTACT_M
    for i in np.flatnonzero((np.abs(inside) <= CONTACT_M) & (beyond > CONTACT_M)):
        p = np.array([px[i], py[i]])
        is_hit[i] = _through_corner(p, int(seen.wall[i]), seen.lens_xy_m[i], walls)
    return np.asarray(is_hit)


def reach_ratio(seen: Seen, pair: Indices, *, x_m: Floats, y_m: Floats) -> Floats:
    """How much farther than the wall's line points are, seen from the lens: the k of the module's text.

    Parameters
    ----------
    pair : shape (n,), which pair of lens and wall
    x_m, y_m : shape (n,), the points
    """
    px, py = x_m - seen.lens_xy_m[pair, 0], y_m - seen.lens_xy_m[pair, 1]
    return -_cross(seen.along[pair], px, py) / seen.distance_m[pair]


def _cross(vector: Floats, px: Floats, py: Floats) -> Floats:
    return np.asarray(vector[..., 0] * py - vector[..., 1] * px)


def _through_corner(p: Floats, wall: int, lens_xy_m: Floats, walls: Walls) -> bool:
    """Tell whether a ray through the start of a wall crosses there.

    It does if the faces leave that corner, or the run of corners that the ray slides along, on either side of it. A ray
    that begins on that run crosses no face there; through_block.pass_inside says whether it then enters a block.
    """
    occluder, corner = walls.occluder[wall], walls.corner[wall]
    to_corner = walls.corners_m[occluder] - lens_xy_m
    side = _cross(to_corner, p[0], p[1]) / np.maximum(np.hypot(*to_corner.T), CONTACT_M)
    side[np.abs(side) <= CONTACT_M] = 0.0
    stop = side[(corner + 1) % len(side)]
    order = np.arange(corner + 1 - len(side) if walls.is_loop[occluder] else 0, corner + 1)
    sided = np.flatnonzero(side[order] != 0.0)
    if side[corner] != 0.0 or len(sided) == 0:
        return False
    run = order[sided[-1] + 1 :]
    if (to_corner[run] @ p <= 0.0).any():
        return False
    return bool(stop * side[order[sided[-1]]] < 0.0)
