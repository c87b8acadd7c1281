"""Shortest ways on foot round what stands in the way.

Among polygons the shortest way is a chain of straight pieces that bends only at corners which point outward into the
free ground (T. Lozano-Perez and M. Wesley, Communications of the ACM 22, 1979: the visibility graph), so the shortest
path in the graph of those corners and the two ends is exact.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Flags, Floats, Indices

SHRINK_M = 1e-6  # a way may run along an edge: what counts as inside is this much smaller than the obstacle
STRAIGHT = 1e-9  # sine of the bend under which a corner is none


@dataclass(frozen=True, eq=False)
class Terrain:
    """Ground with obstacles, made ready for questions about ways."""

    blocked: BaseGeometry  # union of the obstacles
    inside: BaseGeometry  # the same, a hair smaller; prepared
    corners_m: Floats  # shape (n, 2), where a way may bend
    between_m: Floats  # shape (n, n), straight from corner to corner; inf where something is in the way


@dataclass(frozen=True)
class Way:
    """A way on foot."""

    length_m: float
    points_m: tuple[tuple[float, float], ...]  # from start to end


def terrain(obstacles: Iterable[BaseGeometry]) -> Terrain:
    """Make ground with polygons as obstacles ready; lines and points do not stop anybody."""
    blocked = shapely.union_all([o for o in obstacles if not o.is_empty])
    polygons = [part for part in shapely.get_parts(blocked) if isinstance(part, shapely.Polygon)]
    blocked = shapely.union_all(polygons) if polygons else shapely.Polygon()
    inside = shapely.buffer(blocked, -SHRINK_M, join_style="mitre")
    shapely.prepare(inside)
    corners_m, touches = _corners(polygons)
    n = len(corners_m)
    between_m = np.full((n, n), np.inf)
    first, second = np.nonzero(np.triu(touches & touches.T, 1))
    length_m = _straight_m(inside, corners_m[first], corners_m[second])
    between_m[first, second] = between_m[second, first] = length_m
    return Terrain(blocked, inside, corners_m, between_m)


def shortest_way(ground: Terrain, start_m: tuple[float, float], end_m: tuple[float, float]) -> Way | None:
    """Find the shortest way between two places; None where obstacles leave none.

    A place on an obstacle is left by the straight line to the nearest point of its edge.
    """
    start, end = np.asarray(start_m, dtype=np.float64), np.asarray(end_m, dtype=np.float64)
    if _straight_m(ground.inside, start[None], end[None])[0] < np.inf:
        return _way(np.array([start, end]))
    out, back = _stepped_out(ground, start), _stepped_out(ground, end)
    points = np.vstack([out, back, ground.corners_m])
    n = len(points)
    length = np.full((n, n), np.inf)
    length[2:, 2:] = ground.between_m
    for row in (0, 1):
        length[row] = length[:, row] = _straight_m(ground.inside, np.tile(points[row], (n, 1)), points)
    chain = _way_to_second(length)
    return None if chain is None else _way(np.vstack([start, points[chain], end]))


def _way_to_second(length: Floats) -> Indices | None:
    """Shortest way in a graph from its first corner to its second, corner by corner; None where there is none.

    The corner nearest to the first of all whose ways are still open is settled, and lengthens its way by one piece to
    all others (Dijkstra). Of ways equally long the one with fewer corners counts, then the one with earlier ones.

    Parameters
    ----------
    length : shape (n, n), of pieces; inf where there is none
    """
    n = len(length)
    total, before, n_pieces = np.full(n, np.inf), np.zeros(n, np.intp), np.zeros(n, np.intp)
    total[0], left = 0.0, np.zeros(n)
    while True:
        here = int((total + left).argmin())
        if not np.isfinite(total[here]) or left[here]:
            return None
        if here == 1:
            break
        left[here] = np.inf
        longer = total[here] + length[here]
        is_better = longer < total
        is_equal = (longer == total) & np.isfinite(longer)
        if is_equal.any():
            fewer = n_pieces - n_pieces[here] - 1
            is_better |= is_equal & ((fewer > 0) | ((fewer == 0) & (before > here)))
        total[is_better], before[is_better], n_pieces[is_better] = longer[is_better], here, n_pieces[here] + 1
    chain = [1]
    while chain[-1] != 0:
        chain.append(int(before[chain[-1]]))
    return np.array(chain[::-1])


def _ways_between(length: Floats) -> Floats:
    """Shortest ways in a graph between all corners (Floyd and Warshall), shape (n, n)."""
    total = length.copy()
    np.fill_diagonal(total, 0.0)
    for via in range(len(total)):
        np.minimum(total, total[:, via, None] + total[via], out=total)
    return total


def _way(points: Floats) -> Way:
    keep = np.concatenate([[True], (np.abs(np.diff(points, axis=0)) > 1e-9).any(axis=1)])
    points = points[keep]
    length_m = float(np.hypot(*np.diff(points, axis=0).T).sum()) if len(points) > 1 else 0.0
    return Way(length_m, tuple((float(x), float(y)) for x, y in points))


def _stepped_out(ground: Terrain, place: Floats) -> Floats:
    point = shapely.Point(place)
    if not ground.inside.contains(point):
        return place
    return np.asarray(shapely.get_coordinates(shapely.shortest_line(ground.blocked.boundary, point))[0])


def _straight_m(inside: BaseGeometry, first: Floats, second: Floats) -> Floats:
    """Lengths of straight lines, inf where a line passes through an obstacle, shape (n,)."""
    length_m: Floats = np.hypot(*(second - first).T)
    if inside.is_empty or not len(first):
        return length_m
    lines = shapely.linestrings(np.stack([first, second], axis=1))
    return np.asarray(np.where(shapely.intersects(inside, lines), np.inf, length_m))


def _corners(polygons: Iterable[shapely.Polygon]) -> tuple[Floats, Flags]:
    """Corners at which an obstacle's angle is below 180 degrees, seen from inside it.

    A shortest way bends round a corner, so it only takes lines that have both its neighbours on one side.

    Returns
    -------
    shape (n, 2); whether the line from each corner to each other one does so at the first of the two, shape (n, n)
    """
    found = [np.empty((3, 0, 2))]
    for polygon in polygons:
        shape = shapely.geometry.polygon.orient(polygon)  # outer ring to the left, holes to the right
        for ring in (shape.exterior, *shape.interiors):
            at = shapely.get_coordinates(ring)[:-1]
            last, following = np.roll(at, 1, axis=0), np.roll(at, -1, axis=0)
            found.append(np.array([at, last, following])[:, _sine(at - last, following - at) > STRAIGHT])
    at, *beside = np.concatenate(found, axis=1)
    corners_m, index = np.unique(at, axis=0, return_inverse=True)
    away_m = corners_m - at[:, None]
    before, after = (_sine(away_m, (neighbour - at)[:, None]) for neighbour in beside)
    cuts = (np.minimum(before, after) < -STRAIGHT) & (np.maximum(before, after) > STRAIGHT)
    touches = np.zeros((len(corners_m), len(corners_m)), np.bool_)
    np.logical_or.at(touches, index.ravel(), ~cuts)  # where obstacles meet in a point, round one of them is enough
    return corners_m, touches


def _sine(first: Floats, second: Floats) -> Floats:
    """Sine of the angle from one direction to another, 0 where one of them has no length, shape (...)."""
    across = first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0]
    scale = np.hypot(first[..., 0], first[..., 1]) * np.hypot(second[..., 0], second[..., 1])
    return np.asarray(across / np.where(scale > 0, scale, 1.0))


def way_lengths_m(ground: Terrain, places_m: Floats) -> Floats:
    """Lengths of the shortest ways between each two of many places, shape (n, n); inf where obstacles leave none.

    Parameters
    ----------
    places_m : shape (n, 2); one on an obstacle is left as in `shortest_way`
    """
    n, n_corners = len(places_m), len(ground.corners_m)
    out_m = np.array([_stepped_out(ground, place) for place in places_m]).reshape(-1, 2)
    step_m = np.hypot(*(out_m - places_m).T)
    first, second = np.divmod(np.arange(n * n), n)
    length_m = _straight_m(ground.inside, out_m[first], out_m[second]).reshape(n, n)
    if n_corners:
        place, corner = np.divmod(np.arange(n * n_corners), n_corners)
        to_corner_m = _straight_m(ground.inside, out_m[place], ground.corners_m[corner]).reshape(n, n_corners)
        round_m = _ways_between(ground.between_m)
        onward_m = np.min([to_corner_m[:, via, None] + round_m[via] for via in range(n_corners)], axis=0)
        for via in range(n_corners):
            np.minimum(length_m, onward_m[:, via, None] + to_corner_m[:, via], out=length_m)
    length_m += step_m[:, None] + step_m
    np.fill_diagonal(length_m, 0.0)
    return np.asarray(length_m)
