"""Rays through the top, the base or the inside of a closed occluder: what the tests of its sides alone would miss."""

from __future__ import annotations

import numpy as np
import shapely

from standmark.geometry.arrays import Flags, Floats, Indices
from standmark.geometry.sightlines.occluder import Occluder
from standmark.geometry.sightlines.wall import CONTACT_M


def pass_inside(occluder: Occluder, *, lens_xyz_m: Floats, point_xyz_m: Floats) -> Flags:
    """Tell which rays pass through the inside of a block on the stretch where they are between its base and its top.

    A ray that never crosses a side between base and top is in the block for all of that stretch or for none of it,
    unless it touches corners: then the stretches between them count one by one. A block with base and top equal is a
    sheet: the ray must pass from one side of it to the other.

    Parameters
    ----------
    lens_xyz_m, point_xyz_m : shape (n, 3), the ends of the rays

    Returns
    -------
    shape (n,)
    """
    enter, leave = _stretch(lens_xyz_m[:, 2], point_xyz_m[:, 2], base_m=occluder.base_m, top_m=occluder.top_m)
    inside = shapely.buffer(shapely.Polygon(occluder.footprint_m), -CONTACT_M, join_style="mitre")
    start, way = lens_xyz_m[:, :2], point_xyz_m[:, :2] - lens_xyz_m[:, :2]

    def is_inside(ray: Indices, share: Floats) -> Flags:
        return np.asarray(shapely.contains_xy(inside, *(start[ray] + share[:, None] * way[ray]).T))

    hit = (leave >= enter) & is_inside(np.arange(len(way)), 0.5 * (enter + leave))
    touching, at = _corners_touched(np.array(occluder.footprint_m), start, way)
    is_between = (at > enter[touching]) & (at < leave[touching]) & ~hit[touching]
    for ray in np.unique(touching[is_between]):
        cuts = np.sort([enter[ray], *at[is_between & (touching == ray)], leave[ray]])
        middles = 0.5 * (cuts[1:] + cuts[:-1])
        hit[ray] = is_inside(np.full(len(middles), ray), middles).any()
    return np.asarray(hit)


def _corners_touched(corners_m: Floats, start_m: Floats, way_m: Floats) -> tuple[Indices, Floats]:
    """Return which rays touch a corner, once for each that they touch, and at which share of their way."""
    length = np.maximum(np.hypot(*way_m.T), CONTACT_M)
    rays, shares = [], []
    for corner in corners_m:
        x, y = (corner - start_m).T
        near = np.flatnonzero(np.abs(way_m[:, 0] * y - way_m[:, 1] * x) <= CONTACT_M * length)
        rays.append(near)
        shares.append((way_m[near, 0] * x[near] + way_m[near, 1] * y[near]) / length[near] ** 2)
    return np.concatenate(rays), np.concatenate(shares)


def _stretch(lens_z: Floats, point_z: Floats, *, base_m: float, top_m: float) -> tuple[Floats, Floats]:
    """Shares of the way between which a ray is between base and top; leave < enter where it never is."""
    base = -np.inf if base_m <= 0.0 else base_m
    rise = point_z - lens_z
    low, high = np.minimum(lens_z, point_z), np.maximum(lens_z, point_z)
    is_sheet = base == top_m
    meets = (low < top_m - CONTACT_M) & (high > (top_m if is_sheet else base) + CONTACT_M)
    with np.errstate(divide="ignore", invalid="ignore"):
        at_base, at_top = (base - lens_z) / rise, (top_m - lens_z) / rise
    is_level = rise == 0.0
    enter = np.where(is_level, 0.0, np.clip(np.minimum(at_base, at_top), 0.0, 1.0))
    leave = np.where(is_level, 1.0, np.clip(np.maximum(at_base, at_top), 0.0, 1.0))
    return np.where(meets, enter, 1.0), np.where(meets, leave, 0.0)
