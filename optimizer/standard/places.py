"""The places that a ground leaves open to its standard positions, and the kit that can stand there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Floats, Indices
from standmark.optimizer.choice.candidates import sample_places, standing_shape
from standmark.optimizer.match.match import AllowedArea, Camera, Match, heights_within_reach_m
from standmark.optimizer.standard.standard import Role, Standard
from standmark.optimizer.standard.view import GroundView, Views, bar_height_m, is_wanted_view, run_m
from standmark.optimizer.value.outfit import Outfit, camera_outfits

SPACING_M = 2.0  # of the first look; refined to candidates.FINEST_M round the choice
MILLIMETRE = 1e-3  # places are written to it
ANY_HEIGHT_M = (0.0, 200.0)  # a kit that the league brings is limited by the area only
RAY_M = 2000.0
AROUND = np.array([(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1)], dtype=float)
NO_REACH = (math.nan, math.nan)


@dataclass(frozen=True, eq=False)
class OpenArea:
    """What of one allowed area is open to a standard position."""

    area: AllowedArea
    shape: BaseGeometry  # where one may really stand
    xy_m: Floats  # shape (n, 2), sampled places


@dataclass(frozen=True)
class Kit:
    """One way to film a role: a camera with its reach and its areas, and one of its lenses."""

    camera: Camera
    outfit: Outfit


@dataclass(frozen=True, eq=False)
class Places:
    """Places to try for several views, in the order of the views."""

    view: Indices  # shape (n,), index of the view
    area: Indices  # shape (n,), index of the open area
    xy_m: Floats  # shape (n, 2), to the millimetre

    def some(self, at: Sequence[int]) -> Places:
        """Return the places of some of the views, which become the only ones."""
        rows = [np.flatnonzero(self.view == view) for view in at]
        row = np.concatenate([np.empty(0, dtype=np.intp), *rows])
        return Places(np.repeat(np.arange(len(at)), [len(some) for some in rows]), self.area[row], self.xy_m[row])


def open_areas(match: Match, *, part_time: bool = False) -> tuple[OpenArea, ...]:
    """Sample the allowed areas; a standard position stands all match long, so part-time areas are left out.

    Parameters
    ----------
    part_time : True takes areas that are open in some periods only as well
    """
    areas = [area for area in match.venue.allowed if part_time or area.periods is None]
    shapes = [(area, standing_shape(match, area)) for area in areas]
    return tuple(OpenArea(area, shape, sample_places(shape, spacing_m=SPACING_M).round(3)) for area, shape in shapes)


def role_kits(match: Match, standard: Standard, role: Role) -> tuple[Kit, ...]:
    """List what a role may be filmed with: the league's kit where the standard names one, else the ground's cameras."""
    lenses, mode = role.lenses or standard.lenses, role.mode or standard.mode
    cameras: Sequence[Camera] = match.cameras if mode is None else [replace(c, mode=mode) for c in match.cameras]
    if lenses is not None:
        cameras = [replace(cameras[0], name="", lenses=lenses, lens_height_m=ANY_HEIGHT_M, areas=None, fixed=None)]
    kits = (Kit(camera, outfit) for camera in cameras for outfit in camera_outfits(match, camera))
    return tuple(dict.fromkeys(kits))


def reaches_m(areas: Sequence[OpenArea], kits: Sequence[Kit]) -> Floats:
    """Lowest and highest lens of each kit in each area, shape (n_kits, n_areas, 2); NaN where it may or can not stand.

    The same for every lens of a camera.
    """
    by_camera = {id(kit.camera): [_reach_m(area.area, kit.camera) for area in areas] for kit in kits}
    return np.array([by_camera[id(kit.camera)] for kit in kits]).reshape(len(kits), len(areas), 2)


def _reach_m(area: AllowedArea, camera: Camera) -> tuple[float, float]:
    if camera.areas is not None and area.key not in camera.areas:
        return NO_REACH
    return heights_within_reach_m(area, camera) or NO_REACH


def places_in(views: Sequence[GroundView], table: Views, areas: Sequence[OpenArea]) -> Places:
    """List places to try for each view in all areas: where its ray enters, crosses and leaves, and sampled ones."""
    on_view, on_area, on_xy_m = on_the_rays(views, [area.shape for area in areas])
    n = [len(area.xy_m) for area in areas]
    sampled = np.concatenate([np.empty((0, 2)), *(area.xy_m for area in areas)])
    view = np.concatenate([on_view, np.repeat(np.arange(len(views)), len(sampled))])
    area = np.concatenate([on_area, np.tile(np.repeat(np.arange(len(areas)), n), len(views))])
    xy_m = np.concatenate([on_xy_m, np.tile(sampled, (len(views), 1))])
    shown = np.flatnonzero(is_wanted_view(table, view, xy_m))
    shown = shown[np.lexsort((area[shown], view[shown]))]
    return Places(view[shown], area[shown], xy_m[shown])


def on_the_rays(views: Sequence[GroundView], shapes: Sequence[BaseGeometry]) -> tuple[Indices, Indices, Floats]:
    """Places of shapes that lie exactly in a wanted direction: where the ray from the aim enters, crosses, leaves.

    Returns
    -------
    index of the view (n,), index of the shape (n,), place (n, 2)
    """
    rays = np.asarray(shapely.linestrings(np.array([_ray(view) for view in views]).reshape(-1, 2, 2)))
    crossed = shapely.intersection(rays[:, None], np.array(shapes, dtype=object)).ravel()
    parts, owner = shapely.get_parts(crossed, return_index=True)
    is_there = ~shapely.is_empty(parts)
    parts, owner = parts[is_there], owner[is_there]
    ends_m, part = shapely.get_coordinates(parts, return_index=True)
    order = np.argsort(np.concatenate([part, np.arange(len(parts))]), kind="stable")
    xy_m = np.concatenate([ends_m, shapely.get_coordinates(shapely.centroid(parts))])[order].round(3)
    owner = np.concatenate([owner[part], owner])[order]
    return owner // max(1, len(shapes)), owner % max(1, len(shapes)), xy_m


def _ray(view: GroundView) -> tuple[Floats, Floats]:
    turn = math.radians(sum(view.slot.role.from_deg) / 2)
    ahead = math.cos(turn) * np.array(view.main) + math.sin(turn) * np.array(view.hand)
    aim = np.array(view.aim_m)
    return aim, aim + RAY_M * ahead


def at_telling_heights(telling_m: Floats, reach_m: Floats) -> tuple[Indices, Floats]:
    """Every place at every height that may be the best one, within reach, to the millimetre.

    Parameters
    ----------
    telling_m : shape (n, k), see `telling_heights_m`
    reach_m : shape (n, 2), lowest and highest lens

    Returns
    -------
    index of the place (m,) and height (m,), place after place, each from low to high
    """
    heights = np.sort(np.clip(telling_m, reach_m[:, :1], reach_m[:, 1:]).round(3), axis=1)
    is_new = np.column_stack([np.ones(len(heights), dtype=bool), heights[:, 1:] > heights[:, :-1]])
    return np.nonzero(is_new)[0], heights[is_new]


def telling_heights_m(views: Sequence[GroundView], table: Views, places: Places) -> Floats:
    """Heights at which a wish of a view begins or ceases to be met, or is met best, for each place.

    The strain of a place is a sum of parabolas cut off flat between these heights, so one of them is the best
    height, or lies next to it.

    Returns
    -------
    shape (n, 9), with 0 and the highest of all for the limits of an area, and 0 where a view wishes nothing
    """
    roles = [view.slot.role for view in views]
    levels = np.array([(0.0, ANY_HEIGHT_M[1], *_ends_and_middle(role.lens_height_m)) for role in roles])
    slopes = np.array([[math.tan(math.radians(a)) for a in _ends_and_middle(role.look_down_deg)] for role in roles])
    at = places.view
    ramps = run_m(table, at, places.xy_m)[:, None] * slopes[at]
    return np.column_stack([levels[at], ramps, bar_height_m(table, at, places.xy_m)])


def _ends_and_middle(band: tuple[float, float] | None) -> tuple[float, float, float]:
    return (0.0, 0.0, 0.0) if band is None else (band[0], sum(band) / 2, band[1])


def neighbours(
    areas: Sequence[OpenArea], area: Indices, xyz_m: Floats, *, reach_m: Floats, step_m: float
) -> tuple[Indices, Floats]:
    """Places one step away from each place in each direction, inside its area and within reach; along it if a line.

    Parameters
    ----------
    area : shape (n,), index of each place's open area
    xyz_m : shape (n, 3)
    reach_m : shape (n, 2), lowest and highest lens at each place

    Returns
    -------
    index of the place (m,), and its neighbours (m, 3) to the millimetre, some of them twice
    """
    shapes = np.array([areas[i].shape for i in area], dtype=object)[:, None]
    xy_m = xyz_m[:, None, :2] + AROUND * step_m
    lines = np.flatnonzero(shapely.area(shapes[:, 0]) == 0)
    if len(lines):
        way = shapely.shortest_line(shapely.points(xy_m[lines]), shapes[lines])
        xy_m[lines] = shapely.get_coordinates(way)[1::2].reshape(len(lines), -1, 2)
    xy_m = xy_m.round(3)
    place, side = np.nonzero(shapely.dwithin(shapes, shapely.points(xy_m), MILLIMETRE))
    steps_m = np.array([-step_m, 0.0, step_m])
    heights = np.clip(xyz_m[:, 2:] + steps_m, reach_m[:, :1], reach_m[:, 1:]).round(3)
    near = np.column_stack([np.repeat(xy_m[place, side], 3, axis=0), heights[place].ravel()])
    return np.repeat(place, 3), near
