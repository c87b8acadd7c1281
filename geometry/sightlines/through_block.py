"""Rays through the top, the base or the inside of a closed occluder: what the tests of its sides alone would miss."""

from __future__ import annotations

import numpy as np
import shapely

from standmark.geometry.arrays import Flags, Floats
from standmark.geometry.sightlines.occluder import Occluder
from standmark.geometry.sightlines.wall import CONTACT_M


def pass_inside(occluder: Occluder, *, lens_xyz_m: Floats, point_xyz_m: Floats) -> Flags:
    """Tell which rays are inside a block halfway along the stretch on which they are between its base and its top.

    A ray that never crosses a side between base and top is in the block for all of that stretch or for none of it. A
    block with base and top equal is a sheet: the ray must pass from one side of it to the other.

    Parameters
    ----------
    lens_xyz_m, point_xyz_m : shape (n, 3), the ends of the rays

    Returns
    -------
    shape (n,)
    """
    enter, leave = _stretch(lens_xyz_m[:, 2], point_xyz_m[:, 2], base_m=occluder.base_m, top_m=occluder.top_m)
    middle = 0.5 * (enter + leave)[:, None]
    x, y = ((1.0 - middle) * lens_xyz_m[:, :2] + middle * point_xyz_m[:, :2]).T
    inside = shapely.buffer(shapely.Polygon(occluder.footprint_m), -CONTACT_M, join_style="mitre")
    return np.asarray((leave >= enter) & shapely.contains_xy(inside, x, y))


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
