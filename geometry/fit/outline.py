"""A playing area of known size laid on points that were traced, measured or walked along its lines.

    plane = middle + R(turn) pitch: the pitch frame turned by `turn_deg` anticlockwise from east, then moved
    miss of a point: its distance from the outline, positive outside

The fit takes the sum of a robust loss of the misses down (quadratic near, logarithmic far), so that a corner cut
short, a stray point or a walk to the tea hut pulls little. Its uncertainty follows from the misses that are left,
with the part of a common error that the fit itself takes up put back.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import least_squares
from shapely.geometry.base import BaseGeometry

from standmark.geometry.fit.drift import drifting_covariance

Floats = NDArray[np.float64]
MOST_POINTS = 400  # more say nothing new about three unknowns
LEAST_SCALE_M = 0.05  # under which misses are not told from rounding of a map
WIDE = 2.0  # standard deviations beyond which a miss pulls less and less
FEW_POINTS = 60  # with which starts are compared
STARTS_DEG = 15.0  # between starting directions of outlines that are no rectangles


@dataclass(frozen=True)
class OutlineFit:
    """Where the origin of the pitch frame lies and which way +x points, in a plane of metres."""

    middle_m: tuple[float, float]
    turn_deg: float  # from the plane's first axis toward its second
    middle_se_m: float  # standard error, root of the mean over both axes
    turn_se_deg: float
    typical_miss_m: float  # mean of the distances from the outline
    worst_miss_m: float
    n_points: int


def fit_outline(
    points_m: ArrayLike, outline: BaseGeometry, *, correlation: Floats | None = None, times_s: Floats | None = None
) -> OutlineFit:
    """Lay an outline of known shape and size on points along it.

    Parameters
    ----------
    points_m : shape (n, 2), n >= 3, in a plane
    outline : the playing area in the pitch frame
    correlation : shape (n, n), how alike the errors of two points are; None: they know nothing of each other
    times_s : shape (n,), of points along a walk, whose errors drift by an amount and over a time that are not known

    Returns
    -------
    the best fit; where the outline looks the same after a turn, the one of least turn from the first axis
    """
    points = np.asarray(points_m, float)
    ring = shapely.LineString(shapely.get_coordinates(shapely.get_exterior_ring(outline)))
    misses = _misses(points, outline, ring)
    few = _misses(points[:: -(-len(points) // FEW_POINTS)], outline, ring)
    starts = [_descend(few, start, loss="soft_l1", rounds=1) for start in _starts(points, outline)]
    placing = _descend(misses, min(starts, key=lambda start: _cost(misses(start))), loss="cauchy", rounds=2)
    left = misses(placing)
    scale = _scale(left)
    near = np.abs(left) <= 4.0 * scale
    slopes = _slopes(misses, placing)[near]
    if times_s is not None:
        counts = 1.0 / (1.0 + np.square(left[near] / (WIDE * scale)))  # of the Cauchy loss
        covariance = drifting_covariance(left[near], slopes, np.asarray(times_s)[near], counts=counts)
    else:
        covariance = _covariance(left[near], slopes, None if correlation is None else correlation[np.ix_(near, near)])
    return OutlineFit(
        middle_m=(float(placing[0]), float(placing[1])),
        turn_deg=math.degrees(placing[2]) % 360.0,
        middle_se_m=math.sqrt((covariance[0, 0] + covariance[1, 1]) / 2),
        turn_se_deg=math.degrees(math.sqrt(covariance[2, 2])),
        typical_miss_m=float(np.mean(np.abs(left))),
        worst_miss_m=float(np.abs(left).max()),
        n_points=len(points),
    )


def turned_alike(outline: BaseGeometry) -> bool:
    """Whether a half turn leaves the outline as it is, so that a trace cannot say which end is which."""
    turned = shapely.Polygon(-shapely.get_coordinates(shapely.get_exterior_ring(outline)))
    return float(outline.symmetric_difference(turned).area) < 1e-3 * float(outline.area)


def walked_evenly(points_m: ArrayLike, *, most: int = MOST_POINTS) -> NDArray[np.intp]:
    """Index of points spread evenly along a track, so that a rest on a bench does not count for a whole side."""
    points = np.asarray(points_m, float)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    wanted = np.linspace(0.0, along[-1], min(most, len(points)))
    return np.unique(np.clip(np.searchsorted(along, wanted), 0, len(points) - 1))


def along_ring(corners_m: ArrayLike, *, step_m: float = 1.0) -> tuple[Floats, Floats]:
    """Points along the edges of a closed trace, and how alike their errors are when each corner was placed on its own.

    Returns
    -------
    shape (n, 2), about `step_m` apart, at most `MOST_POINTS`; and shape (n, n) in units of a corner's variance
    """
    corners = np.asarray(corners_m, float)
    closed = np.concatenate([corners, corners[:1]])
    at = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    n = int(np.clip(math.ceil(at[-1] / step_m), 12, MOST_POINTS))
    along = np.arange(n) * at[-1] / n
    edge = np.clip(np.searchsorted(at, along, side="right") - 1, 0, len(corners) - 1)
    share = (along - at[edge]) / np.maximum(at[edge + 1] - at[edge], 1e-12)
    weights = np.zeros((n, len(corners)))
    weights[np.arange(n), edge] += 1.0 - share
    weights[np.arange(n), (edge + 1) % len(corners)] += share
    return weights @ corners, weights @ weights.T


def _misses(points: Floats, outline: BaseGeometry, ring: BaseGeometry) -> Callable[[Floats], Floats]:
    shapely.prepare(outline)

    def misses(placing: Floats) -> Floats:
        cosine, sine = math.cos(placing[2]), math.sin(placing[2])
        moved = points - placing[:2]
        x, y = moved[:, 0] * cosine + moved[:, 1] * sine, moved[:, 1] * cosine - moved[:, 0] * sine
        away = shapely.distance(shapely.points(x, y), ring)
        return np.asarray(np.where(shapely.contains_xy(outline, x, y), -away, away))

    return misses


def _starts(points: Floats, outline: BaseGeometry) -> Sequence[Floats]:
    """Directions from which the descent begins, each with the outline's middle on that of the points."""
    box = shapely.minimum_rotated_rectangle(shapely.MultiPoint(points))
    corners = shapely.get_coordinates(box)
    edge = corners[1] - corners[0] if len(corners) > 1 else np.array([1.0, 0.0])
    first = math.atan2(edge[1], edge[0]) if len(corners) > 1 else 0.0
    is_box = outline.area > 0.97 * outline.minimum_rotated_rectangle.area
    steps = np.arange(0.0, 180.0 if turned_alike(outline) else 360.0, 90.0 if is_box else STARTS_DEG)
    low, high = np.array(outline.bounds[:2]), np.array(outline.bounds[2:])
    inner, outer = (low + high) / 2, np.asarray(shapely.get_coordinates(box.centroid))[0]
    starts = []
    for turn in (first % math.pi) + np.deg2rad(steps):
        cosine, sine = math.cos(turn), math.sin(turn)
        shift = np.array([cosine * inner[0] - sine * inner[1], sine * inner[0] + cosine * inner[1]])
        starts.append(np.array([*(outer - shift), turn]))
    return starts


def _descend(
    misses: Callable[[Floats], Floats], start: Floats, *, loss: Literal["soft_l1", "cauchy"], rounds: int
) -> Floats:
    """Best fit from a start; the scale of the loss is that of the misses, computed again in each round."""
    placing = start
    for _ in range(rounds):
        scale = WIDE * _scale(misses(placing))
        result = least_squares(
            misses, placing, loss=loss, f_scale=scale, x_scale=(1.0, 1.0, 0.01), xtol=1e-7, ftol=1e-9, max_nfev=60
        )
        placing = result.x
    return placing


def _cost(left: Floats) -> float:
    """How bad a fit is, by which starts are compared: strays count no more than three times the median."""
    return float(np.sum(np.minimum(np.abs(left), 3.0 * np.median(np.abs(left)) + LEAST_SCALE_M)))


def _scale(left: Floats) -> float:
    """Standard deviation of misses by their median, which strays do not move."""
    return max(LEAST_SCALE_M, 1.4826 * float(np.median(np.abs(left))))


def _slopes(misses: Callable[[Floats], Floats], placing: Floats) -> Floats:
    """Change of each miss with the middle [m] and the turn [rad], shape (n, 3)."""
    steps = (1e-3, 1e-3, 1e-5)
    return np.column_stack(
        [
            (misses(placing + step * unit) - misses(placing - step * unit)) / (2.0 * step)
            for step, unit in zip(steps, np.eye(3), strict=True)
        ]
    )


def _covariance(left: Floats, slopes: Floats, correlation: Floats | None) -> Floats:
    """Covariance of the middle [m] and the turn [rad].

    An error of a point shows as a miss along the outline's normal there, so misses are alike as the errors are, times
    the cosine between the normals: that is C. With J the slopes of the misses and P = (J'J)^-1 J', errors of variance
    s^2 move the result by P and leave misses whose squares sum to s^2 tr(M C M'), M = I - J P: that gives s, and
    s^2 P C P' the uncertainty.
    """
    alike = np.eye(len(slopes)) if correlation is None else correlation
    alike = alike * (slopes[:, :2] @ slopes[:, :2].T)
    pull = np.linalg.pinv(slopes)
    kept = np.eye(len(slopes)) - slopes @ pull
    freedom = float(np.einsum("ij,jk,ik->", kept, alike, kept, optimize=True))
    return np.asarray(float(np.sum(left**2)) / max(freedom, 1e-9) * pull @ alike @ pull.T)
