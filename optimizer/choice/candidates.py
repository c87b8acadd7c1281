"""Where a camera could stand: sampled places in the allowed areas, at the heights the kit reaches."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Floats, Indices
from standmark.geometry.errors import InputError
from standmark.geometry.kept import kept
from standmark.optimizer.match.match import AllowedArea, Camera, Match, heights_within_reach_m
from standmark.sports.place_kind import OVERHEAD_M, POSTURE_EYE_M

SPACING_M = 2.0  # of the first look; the spots that matter are refined to FINEST_M
FINEST_M = 0.25
HEIGHT_STEP_M = 0.6
FREE_WITHIN_M = 60.0  # free ground further from the playing area is not told of
MOST_PLACES = 1500  # of one area: a larger area is sampled more coarsely at first
MOST_IN_ALL = 20_000  # of all areas and heights together
COARSEST_M = 100.0  # places further apart than this would say little
EIGHT_WAYS = np.array([(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1) if i or j])


@dataclass(frozen=True, eq=False)
class Candidates:
    """One row for each place and height."""

    xyz_m: Floats  # shape (n, 3), lens position
    area: Indices  # shape (n,), index into area_keys
    area_keys: tuple[str, ...]
    spacing_m: float = SPACING_M  # between neighbours; more than usual where there would be too many places


def match_candidates(match: Match, *, spacing_m: float = SPACING_M, most_places: int = MOST_IN_ALL) -> Candidates:
    """Sample every allowed area, at every height that one of the cameras can reach there.

    Parameters
    ----------
    most_places : in all; if there would be more, all areas are sampled more coarsely

    Raises
    ------
    InputError : no place is left for any camera, a camera has none, or there are too many pieces of ground
    """
    rows, owners = [], []
    sampled = [
        (standing_shape(match, area), sorted({h for camera in match.cameras for h in lens_heights_m(area, camera)}))
        for area in match.venue.allowed
    ]
    spacing_m = _spacing_within(sampled, spacing_m, most_places)
    for index, (shape, heights_m) in enumerate(sampled):
        xy_m = sample_places(shape, spacing_m=spacing_m) if heights_m else np.empty((0, 2))
        rows.append(_at_heights(xy_m, heights_m))
        owners.append(np.full(len(rows[-1]), index, dtype=np.intp))
    for camera in match.cameras:
        if camera.fixed is not None:
            rows.append(np.array([[camera.fixed.x_m, camera.fixed.y_m, camera.fixed.z_m]]))
            owners.append(np.array([nearest_area(match, camera.fixed.x_m, camera.fixed.y_m)], dtype=np.intp))
    keys = tuple(a.key for a in match.venue.allowed)
    candidates = Candidates(np.concatenate(rows), np.concatenate(owners), keys, spacing_m)
    if not len(candidates.xyz_m):
        raise InputError(_nothing_left(match))
    return candidates


def _spacing_within(sampled: Sequence[tuple[BaseGeometry, list[float]]], spacing_m: float, most_places: int) -> float:
    """Smallest of a row of spacings, each a quarter above the last, at which the places are few enough [m]."""
    lengths_m, areas_m2, heights = (
        np.array([(part.length, part.area, len(heights_m)) for shape, heights_m in sampled for part in _parts(shape)])
        .reshape(-1, 3)
        .T
    )
    while True:
        along = np.ceil(lengths_m / spacing_m) + 1
        step_m = np.maximum(spacing_m, np.sqrt(areas_m2 / MOST_PLACES))
        within = areas_m2 / step_m**2 + lengths_m / step_m + 1  # the edge of an area has places of its own
        if (np.where(areas_m2 > 0, within, along) @ heights) <= most_places:
            return spacing_m
        if spacing_m > COARSEST_M:
            raise InputError(
                f"venue.allowed: {len(heights)} separate pieces of ground are too many for this many lenses and "
                f"targets; allowed: about {max(1, int(most_places / max(heights.max(), 1) / 2))}, or fewer lenses"
            )
        spacing_m *= 1.25


@kept(256)
def standing_shape(match: Match, area: AllowedArea) -> BaseGeometry:
    """Part of an allowed area where a camera may really stand: off the playing area, off everything forbidden."""
    shape = area.shape
    for _, blocked in blocked_shapes(match, area):
        shape = shape.difference(blocked)
    shapely.prepare(shape)
    return shape


def blocked_shapes(match: Match, area: AllowedArea) -> Iterable[tuple[str, BaseGeometry]]:
    """Name and shape of everything that no camera of an area may stand on.

    It may stand above an obstacle, and a high floor lies above whatever is kept clear under it.
    """
    yield "playing area", match.sport.area.outline
    if match.venue.respect_keep_clear and area.floor_m < OVERHEAD_M:
        yield from ((k.name, k.shape) for k in match.sport.area.keep_clear)
    yield from ((f.name, f.shape) for f in match.venue.forbidden)
    solid = [o for o in match.venue.obstacles if o.is_closed and o.top_m > area.lens_height_m[0]]
    yield from ((o.name, shapely.Polygon(o.footprint_m)) for o in solid)
    yield from ((t.name, t.shape) for t in match.venue.furniture if t.top_m > area.lens_height_m[0])


def sample_places(shape: BaseGeometry, *, spacing_m: float) -> Floats:
    """Places to try in a shape: a grid over its area, points along a line; at least one wherever it is not empty.

    Returns
    -------
    shape (n, 2); a grid coarser than asked for where the area would hold over MOST_PLACES
    """
    samples = [_sample_part(part, spacing_m) for part in _parts(shape)]
    return np.concatenate(samples) if samples else np.empty((0, 2))


def _parts(shape: BaseGeometry) -> list[BaseGeometry]:
    return [part for part in shapely.get_parts(shape) if not part.is_empty]


def _sample_part(part: BaseGeometry, spacing_m: float) -> Floats:
    if part.area == 0:
        n = max(1, math.ceil(part.length / spacing_m)) + 1
        return _points_along(part, np.linspace(0, 1, n) * part.length)
    step_m = max(spacing_m, math.sqrt(part.area / MOST_PLACES))
    low_x, low_y, high_x, high_y = part.bounds
    x, y = np.meshgrid(_centred(low_x, high_x, step_m), _centred(low_y, high_y, step_m), indexing="ij")
    xy_m = np.column_stack([x.ravel(), y.ravel()])
    inside = xy_m[shapely.intersects_xy(part, xy_m[:, 0], xy_m[:, 1])]
    return inside if len(inside) else shapely.get_coordinates(part.representative_point())


def _points_along(line: BaseGeometry, at_m: Floats) -> Floats:
    on_line = np.full(len(at_m), line, dtype=object)
    return shapely.get_coordinates(shapely.line_interpolate_point(on_line, at_m))


def _centred(low: float, high: float, step: float) -> Floats:
    n = max(1, math.ceil((high - low) / step - 1e-9))
    edge = low + (np.arange(n) + 0.5) * (high - low) / n
    return np.concatenate([[low], edge, [high]]) if n > 1 else np.array([low, (low + high) / 2, high])


def lens_heights_m(area: AllowedArea, camera: Camera) -> tuple[float, ...]:
    """Lens heights to try for a camera in an area: none if its support cannot reach the area's range."""
    if camera.areas is not None and area.key not in camera.areas:
        return ()
    reach_m = heights_within_reach_m(area, camera)
    if reach_m is None:
        return ()
    low, high = reach_m
    n = min(4, 1 + math.ceil((high - low) / HEIGHT_STEP_M - 1e-9))
    return tuple(round(float(h), 3) for h in np.linspace(low, high, n))


def camera_positions(match: Match, candidates: Candidates, camera: Camera) -> Indices:
    """Positions at which a camera may stand in some period: its areas, its heights, its fixed spot.

    Raises
    ------
    InputError : the camera has no place at all
    """
    if camera.fixed is not None:
        spot = np.array([camera.fixed.x_m, camera.fixed.y_m, camera.fixed.z_m])
        return np.flatnonzero(np.abs(candidates.xyz_m - spot).max(axis=1) < 1e-9)[:1]
    low, high = camera.lens_height_m
    ok = (candidates.xyz_m[:, 2] >= low - 1e-9) & (candidates.xyz_m[:, 2] <= high + 1e-9)
    if camera.areas is not None:
        wanted = [i for i, key in enumerate(candidates.area_keys) if key in camera.areas]
        ok &= np.isin(candidates.area, wanted)
    if not ok.any():
        heights = ", ".join(f"{a.key} {a.lens_height_m[0]:g} to {a.lens_height_m[1]:g} m" for a in match.venue.allowed)
        raise InputError(
            f'camera "{camera.name}": no allowed area that it may use and can reach '
            f"(lens height {low:g} to {high:g} m); areas: {heights}"
        )
    return np.flatnonzero(ok)


def neighbour_places(xyz_m: Floats, shape: BaseGeometry, *, heights_m: tuple[float, float], step_m: float) -> Floats:
    """Places one step away from a spot: in eight directions at its height, and above and below it.

    Parameters
    ----------
    xyz_m : shape (3,)
    shape : where a camera may stand; a line is followed along itself
    heights_m : lowest and highest lens height

    Returns
    -------
    shape (n, 3), only places in the shape and between the heights, without the spot itself
    """
    xy_m = xyz_m[:2] + EIGHT_WAYS * step_m
    if shape.area == 0:
        xy_m = np.array([snapped(shape, xy) for xy in xy_m])
    x_m, y_m, z_m = xyz_m.tolist()
    xy_m = np.array(sorted({*map(tuple, xy_m.round(3).tolist())} - {(x_m, y_m)})).reshape(-1, 2)
    beside = xy_m[shapely.dwithin(shape, shapely.points(xy_m), 1e-3)]  # places are in whole millimetres
    rise_m = min(step_m, HEIGHT_STEP_M / 2)
    low_m, high_m = heights_m
    heights = {round(min(max(z_m + d, low_m), high_m), 3) for d in (-rise_m, rise_m)} - {z_m}
    above = [(x_m, y_m, height) for height in sorted(heights)]
    return np.array([*((x, y, z_m) for x, y in beside.tolist()), *above]).reshape(-1, 3)


def snapped(shape: BaseGeometry, xy_m: Floats) -> tuple[float, float]:
    """Nearest point of a shape to a place."""
    nearest = shapely.shortest_line(shape, shapely.Point(xy_m)).coords[0]
    return float(nearest[0]), float(nearest[1])


def eye_heights_m(area: AllowedArea, camera: Camera) -> tuple[float, ...]:
    """Lens heights at the eye of somebody who sits, kneels or stands in an area, as far as the camera reaches them."""
    heights_m = heights_within_reach_m(area, camera)
    if heights_m is None:
        return ()
    eyes = (round(area.floor_m + POSTURE_EYE_M[posture], 3) for posture in area.postures)
    return tuple(sorted(eye for eye in eyes if heights_m[0] - 1e-9 <= eye <= heights_m[1] + 1e-9))


def nearest_area(match: Match, x_m: float, y_m: float) -> int:
    """Index of the allowed area that holds or is nearest to a spot."""
    point = shapely.Point(x_m, y_m)
    return int(np.argmin([area.shape.distance(point) for area in match.venue.allowed]))


def _at_heights(xy_m: Floats, heights_m: Sequence[float]) -> Floats:
    """Places at heights, to the millimetre: what is written down is what was computed with."""
    if not len(xy_m) or not heights_m:
        return np.empty((0, 3))
    return np.concatenate([np.column_stack([xy_m.round(3), np.full(len(xy_m), h)]) for h in heights_m])


def _nothing_left(match: Match) -> str:
    covered = [area for area in match.venue.allowed if standing_shape(match, area).is_empty]
    beyond = [area for area in match.venue.allowed if area not in covered]
    alike: dict[str, list[AllowedArea]] = {}
    for area in covered:
        alike.setdefault(f"is covered by {_covering(match, area)}", []).append(area)
    for area in beyond:
        low, high = area.lens_height_m
        alike.setdefault(f"is for a lens {low:g} to {high:g} m up, which no camera reaches", []).append(area)
    reasons = [
        f'"{first.name}"{f", like {len(more)} more," if more else ""} {why}' for why, (first, *more) in alike.items()
    ]
    remedies = list(dict.fromkeys(_remedy(match, area) for area in covered))
    if beyond:
        remedies.append("give lens_height_m of a camera and of an area a height in common")
    return f"venue.allowed: no place is left for a camera ({'; '.join(reasons)}); {'; '.join(remedies)}"


def _covering(match: Match, area: AllowedArea) -> str:
    """Names of what covers an area: of that which does so alone, if there is any."""
    touching = {name: shape for name, shape in blocked_shapes(match, area) if shape.intersects(area.shape)}
    alone = [name for name, shape in touching.items() if shape.buffer(1e-9).covers(area.shape)]
    return ", ".join(sorted(alone or touching))


def _remedy(match: Match, area: AllowedArea) -> str:
    """What gives room again: less that is forbidden, or going outward, and from where there is room."""
    venue = match.venue
    forbidden = (
        {f.name for f in venue.forbidden} | {o.name for o in venue.obstacles} | {t.name for t in venue.furniture}
    )
    if forbidden & set(_covering(match, area).split(", ")):
        return "make venue.forbidden or venue.obstacle smaller, move venue.furniture, or allow another area"
    free_m = _free_from_m(match, area)
    outward = "" if free_m is None else f", there {free_m:.2g} m or more from the line"
    released = ", or set venue.respect_keep_clear = false if the ground has released it"
    return f"move the allowed area outward{outward}{released if match.venue.respect_keep_clear else ''}"


def _free_from_m(match: Match, area: AllowedArea) -> float | None:
    """Distance from the playing area at which ground is free, straight out from the middle of an area."""
    outline, middle = match.sport.area.outline, area.shape.representative_point()
    edge = shapely.get_coordinates(shapely.shortest_line(outline.boundary, middle))
    away = (edge[0] - edge[1]) * (1 if outline.contains(middle) else -1)
    return None if not away.any() else free_beyond_m(match, area, edge[0], away)


def free_beyond_m(match: Match, area: AllowedArea, edge_m: Floats, away: Floats) -> float | None:
    """Distance from a point of the edge at which ground is free in a direction; None within FREE_WITHIN_M.

    Parameters
    ----------
    area : says how high one stands
    edge_m, away : shape (2,)
    """
    free: BaseGeometry = shapely.LineString([edge_m, edge_m + away / np.hypot(*away) * FREE_WITHIN_M])
    for _, blocked in blocked_shapes(match, area):
        free = free.difference(blocked.buffer(1e-9))
    ahead = [shapely.Point(edge_m).distance(part) for part in shapely.get_parts(free) if part.length > FINEST_M]
    return math.ceil(10 * min(ahead) - 1e-6) / 10 if ahead else None
