"""The places that a ground leaves open to its standard positions, and the kit that can stand there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Floats
from standmark.optimizer.choice.candidates import sample_places, standing_shape
from standmark.optimizer.match.match import AllowedArea, Camera, Match, heights_within_reach_m
from standmark.optimizer.standard.standard import Role, Standard
from standmark.optimizer.standard.view import GroundView, bar_height_m, is_wanted_view
from standmark.optimizer.value.outfit import Outfit, camera_outfits

SPACING_M = 2.0  # of the first look; refined to candidates.FINEST_M round the choice
MILLIMETRE = 1e-3  # places are written to it
ANY_HEIGHT_M = (0.0, 200.0)  # a kit that the league brings is limited by the area only


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


def reach_m(area: AllowedArea, camera: Camera) -> tuple[float, float] | None:
    """Lens heights that a camera reaches in an area; None if it may not or cannot stand there."""
    if camera.areas is not None and area.key not in camera.areas:
        return None
    return heights_within_reach_m(area, camera)


def places_in(view: GroundView, open_area: OpenArea, *, reach: tuple[float, float]) -> Floats:
    """List places to try for a view in one area: sampled ones, those on the ray, at every height that may be best.

    Returns
    -------
    shape (n, 3), to the millimetre
    """
    xy_m = np.concatenate([on_the_ray(view, open_area.shape), open_area.xy_m])
    return at_telling_heights(view, xy_m[is_wanted_view(view, xy_m)], reach=reach)


def at_telling_heights(view: GroundView, xy_m: Floats, *, reach: tuple[float, float]) -> Floats:
    """Every place at every height that may be the best one, within reach; shape (n, 3), to the millimetre."""
    heights = np.sort(np.clip(telling_heights_m(view, xy_m), *reach).round(3), axis=1)
    is_new = np.column_stack([np.ones(len(xy_m), dtype=bool), heights[:, 1:] > heights[:, :-1]])
    place, _ = np.nonzero(is_new)
    return np.column_stack([xy_m[place], heights[is_new]])


def neighbours(open_area: OpenArea, xyz_m: Floats, *, reach: tuple[float, float], step_m: float) -> Floats:
    """Places one step away in each direction, inside the area and within reach; along it if the area is a line.

    Returns
    -------
    shape (n, 3), to the millimetre
    """
    moves = np.array([(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1)]) * step_m
    xy_m = xyz_m[:2] + moves
    if open_area.shape.area == 0:
        xy_m = shapely.get_coordinates(shapely.shortest_line(shapely.points(xy_m), open_area.shape))[1::2]
    xy_m = np.unique(xy_m.round(3), axis=0)
    xy_m = xy_m[shapely.dwithin(open_area.shape, shapely.points(xy_m), MILLIMETRE)]
    heights = np.unique(np.clip(xyz_m[2] + np.array([-step_m, 0.0, step_m]), *reach).round(3))
    return np.column_stack([np.repeat(xy_m, len(heights), axis=0), np.tile(heights, len(xy_m))])


def telling_heights_m(view: GroundView, xy_m: Floats) -> Floats:
    """Heights at which a wish of a view begins or ceases to be met, or is met best, for each place.

    The strain of a place is a sum of parabolas cut off flat between these heights, so one of them is the best
    height, or lies next to it.

    Returns
    -------
    shape (n, k), with 0 and the highest of all for the limits of an area
    """
    role = view.slot.role
    run_m = np.hypot(xy_m[:, 0] - view.aim_m[0], xy_m[:, 1] - view.aim_m[1])
    columns = [np.zeros(len(xy_m)), np.full(len(xy_m), ANY_HEIGHT_M[1])]
    if role.lens_height_m is not None:
        columns += [np.full(len(xy_m), h) for h in _ends_and_middle(role.lens_height_m)]
    if role.look_down_deg is not None:
        columns += [run_m * math.tan(math.radians(a)) for a in _ends_and_middle(role.look_down_deg)]
    if view.bar is not None:
        columns.append(bar_height_m(view, xy_m))
    return np.column_stack(columns)


def on_the_ray(view: GroundView, shape: BaseGeometry) -> Floats:
    """Places of a shape that lie exactly in the wanted direction: where the ray from the aim enters, crosses, leaves.

    Returns
    -------
    shape (n, 2); empty where the ray misses the shape
    """
    turn = math.radians(sum(view.slot.role.from_deg) / 2)
    ahead = math.cos(turn) * np.array(view.main) + math.sin(turn) * np.array(view.hand)
    aim = np.array(view.aim_m)
    ray = shapely.LineString(np.array([aim, aim + 2000.0 * ahead]))
    points: list[Floats] = [np.empty((0, 2))]
    for part in shapely.get_parts(shapely.intersection(ray, shape)):
        if not part.is_empty:
            points += [shapely.get_coordinates(part), shapely.get_coordinates(part.centroid)]
    return np.concatenate(points).round(3)


def _ends_and_middle(band: tuple[float, float]) -> tuple[float, float, float]:
    return band[0], sum(band) / 2, band[1]
