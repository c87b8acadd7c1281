"""How much of a subject other people leave in sight: a Boolean model of moving bodies.

The bodies are upright cylinders of one height H and width 2 r whose axes form a Poisson process of density lambda
in the disc of radius R round the subject's ground point. Nobody stands inside the subject: axes keep e = 2 r away.
People may lean to the side that the subject faces: lambda (1 + k cos D), D between that side and the direction of a
body from the subject; a strip is narrow, so D is taken as that of the lens all along it.

Seen from above, with s the distance from the subject toward the lens, the ray to a point at height z on the subject
is under H on one stretch [s0, s1] of its ground line. A body blocks the ray exactly when its axis lies within r of
that stretch, so the ray is free with probability exp(-lambda A) where A is the area of

      subject   r +---------------------+        the stretch widened by r (a rectangle with two round caps)
         e (  . )>|   stretch s0 .. s1  |)       without the disc of radius e round the subject
                r +---------------------+        inside the disc of radius R

A has a closed form: at the offset y from the line the stretch reaches from ``max(sqrt(e^2 - y^2), s0 - c)`` to
``min(sqrt(R^2 - y^2), s1 + c)``, ``c = sqrt(r^2 - y^2)``. Each pair of arcs crosses at most once for 0 <= y <= r, so
the integral over y is a sum of circle segments between the crossings.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from standmark.geometry.arrays import Flags, Floats, Indices
from standmark.geometry.view.line_of_sight import LinesOfSight, Reals, like

BODY_HEIGHT_M = 1.8
BODY_WIDTH_M = 0.5  # shoulder breadth of an adult in clothes, rounded; common practice, no source
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(5)
NODES, WEIGHTS = 0.5 * (1.0 + _NODES), 0.5 * _WEIGHTS  # over the subject's height


@dataclass(frozen=True, eq=False)
class Crowd:
    """Other people round subjects and farther off, and how large they are."""

    per_m2: Floats  # shape (t,) or (), within the reach, on average all round
    lean: Floats  # shape (t,) or (), -1..1: how many more stand on the side that the subject faces
    beyond_per_m2: Floats  # shape (t,) or (), farther away
    reach_m: Floats  # shape (t,) or (), how far from the subject they stand
    whole_m2: Floats  # shape (t,) or (), area of a strip as wide as a body from the subject to the reach
    own_m2: float  # half of what such a strip has in common with the ground that the subject takes
    body_height_m: Floats  # shape (t,) or ()
    body_width_m: float

    @property
    def r_m(self) -> float:
        """Half a body's width."""
        return 0.5 * self.body_width_m

    @property
    def ends_m2(self) -> float:
        """What the two ends of a stretch from the subject add to a strip as wide as a body."""
        return math.pi * self.r_m**2 / 2 - 2.0 * self.own_m2

    @property
    def beside_m(self) -> float:
        """Farthest that a stretch may begin from the subject without cutting less than one from the subject itself."""
        return math.sqrt(self.body_width_m**2 - self.r_m**2)


def crowd_round(
    per_m2: ArrayLike,
    radius_m: ArrayLike,
    *,
    beyond_per_m2: ArrayLike = 0.0,
    body_height_m: ArrayLike = BODY_HEIGHT_M,
    body_width_m: float = BODY_WIDTH_M,
    lean: ArrayLike = 0.0,
) -> Crowd:
    """Describe the people round subjects.

    Parameters
    ----------
    per_m2 : shape (t,) or scalar, other people per square metre round the subject
    radius_m : shape (t,) or scalar, how far from the subject they stand [m]; inf everywhere
    beyond_per_m2 : shape (t,) or scalar, people per square metre farther away than that
    body_height_m : shape (t,) or scalar
    lean : shape (t,) or scalar, -1 to 1: k in lambda (1 + k cos D), see the module's text
    """
    near, far, radius = (np.asarray(v, np.float64) for v in (per_m2, beyond_per_m2, radius_m))
    reach, r = np.clip(radius, body_width_m, 1e6), 0.5 * body_width_m
    own = float(_segment(body_width_m, np.asarray(r)))
    whole = 2.0 * (_segment(reach, np.full(reach.shape, r)) - own)
    body = np.asarray(body_height_m, np.float64)
    return Crowd(near, np.asarray(lean, np.float64), far, reach, whole, own, body, body_width_m)


def clear_share(
    sight: LinesOfSight, crowd: Crowd, *, subject_m: ArrayLike, feet_m: ArrayLike = 0.0, toward: Reals | None = None
) -> Reals:
    """Mean share of the subject's height that other people leave in sight, over where they stand [0 to 1].

    ``mean over z of exp(-lambda A(z))``, see the module's text; the mean over the height is taken with five
    Gauss-Legendre points (off by 0.001 on average and 0.014 at worst for crowds of up to 0.5 per m2). Where people
    farther off have a density of their own the exponent is ``-(lambda A + lambda' (A' - A))``, A' being the area
    without an end.

    Parameters
    ----------
    sight : from p lenses to t subjects
    subject_m, feet_m : shape (t,) or scalar, height and lower end of the subject, which may be in the air [m]
    toward : shape (p, t), cosine of the angle between the side that the subject faces and the lens; None: no lean

    Returns
    -------
    shape (p, t)
    """
    n = sight.run_m.shape[1]
    height, feet, body = (np.broadcast_to(v, n) for v in (subject_m, feet_m, crowd.body_height_m))
    points_m = feet + height * NODES[:, None]
    is_over = points_m > body  # points of a leaping subject over all heads
    over = WEIGHTS @ is_over
    near, lens_z_m = _density(crowd, toward, sight), sight.lens_z_m[:, 0]
    is_low = lens_z_m < like(sight, body.min(initial=np.inf))
    clear = np.empty_like(sight.run_m)
    clear[:] = over  # free as long as the lens is over all heads as well
    if is_low.any():  # between lens and points under all heads every ray is low all the way: one stands for all
        rows = _some(is_low)
        free = _free(None, sight.run_m[rows], _cut(near, rows, slice(None)), crowd)
        free *= like(sight, 1.0 - over)
        clear[rows] += free
    is_among = lens_z_m < like(sight, body.max(initial=0.0))  # lenses that may have heads before a leaping subject
    for z_m, is_high, weight in zip(points_m, is_over, WEIGHTS.tolist(), strict=True):
        for lenses, subjects, free_already in ((~is_low, ~is_high, 0.0), (is_among, is_high, 1.0)):
            if lenses.any() and subjects.any():
                rows, columns = _some(lenses), _some(subjects)
                stretch = low_stretch_m(
                    _cut(sight.run_m, rows, columns),
                    sight.lens_z_m[rows],
                    point_z_m=like(sight, z_m[columns]),
                    body_height_m=like(sight, body[columns]),
                )
                free = _free(*stretch, _cut(near, rows, columns), _crowd_round(crowd, columns))
                free -= free_already
                free *= weight
                clear[_block(rows, columns)] += free
    return np.minimum(clear, 1.0, out=clear)  # the weights sum to 1 but for the last digit


Part = slice | Indices


def _density(crowd: Crowd, toward: Reals | None, sight: LinesOfSight) -> Reals:
    """People per square metre on the side of the lens, shape (), (t,) or (p, t)."""
    if toward is None or not np.any(crowd.lean):
        return like(sight, crowd.per_m2)
    density = toward * like(sight, crowd.per_m2 * crowd.lean)
    density += like(sight, crowd.per_m2)
    return density


def _some(flags: Flags) -> Part:
    """Where flags are set; a slice, which copies nothing, where all are."""
    return slice(None) if flags.all() else np.flatnonzero(flags)


def _cut(values: Reals, rows: Part, columns: Part) -> Reals:
    """Some rows and columns of what has both, or some columns, or the one value."""
    return values if values.ndim == 0 else values[columns] if values.ndim == 1 else values[rows][:, columns]


def _block(rows: Part, columns: Part) -> tuple[Any, ...]:
    """Index of some rows and columns."""
    return (rows, columns) if isinstance(rows, slice) or isinstance(columns, slice) else np.ix_(rows, columns)


def _crowd_round(crowd: Crowd, columns: Part) -> Crowd:
    """Crowd round some of the subjects."""
    if isinstance(columns, slice):
        return crowd
    names = ("per_m2", "lean", "beyond_per_m2", "reach_m", "whole_m2", "body_height_m")
    return replace(crowd, **{n: v[columns] for n in names if (v := getattr(crowd, n)).ndim})


def _free(start: Reals | None, stop: Reals, near: Reals, crowd: Crowd) -> Reals:
    """Probability that nobody stands in the low stretch of a ray, shape (p, t)."""
    far, whole = (np.asarray(v, stop.dtype) for v in (crowd.beyond_per_m2, crowd.whole_m2))
    straight = stop * (2.0 * crowd.r_m)
    straight += crowd.ends_m2
    blocked = np.minimum(straight, whole)
    if start is not None:  # a strip that begins away from the subject has a round end there instead
        begin = start * (-2.0 * crowd.r_m)
        begin += 2.0 * crowd.own_m2 + math.pi * crowd.r_m**2 / 2
        begin[start <= crowd.beside_m] = 0.0
        straight += begin
        blocked += begin
        straight[stop <= start] = 0.0
        blocked[stop <= start] = 0.0
        np.maximum(blocked, 0.0, out=blocked)
    blocked *= far - near
    straight *= far
    blocked -= straight
    at = np.flatnonzero(_is_bent(start, stop, crowd))
    if len(at):
        low = stop.reshape(-1)[at].astype(np.float64)
        high = None if start is None else start.reshape(-1)[at].astype(np.float64)
        density = near if near.ndim == 0 else np.broadcast_to(near, stop.shape).reshape(-1)[at]
        blocked.reshape(-1)[at] = -_people_in_the_way(high, low, at % stop.shape[-1], density, crowd)
    return np.asarray(np.exp(blocked, out=blocked))


def _people_in_the_way(start: Floats | None, stop: Floats, target: Indices, near: Reals, crowd: Crowd) -> Floats:
    """Expected number of people in the way of rays whose stretch may end anywhere, shape (n,)."""
    reach, far = (v[target] if v.ndim else v for v in (crowd.reach_m, crowd.beyond_per_m2))

    def area_m2(reach_m: Floats) -> Floats:
        if start is None:
            return _area_from_subject_m2(stop, np.broadcast_to(reach_m, stop.shape), crowd)
        return swept_area_m2(start, stop, reach_m=reach_m, body_width_m=crowd.body_width_m)

    inside = area_m2(reach)
    blocked = near * inside
    if np.any(far):
        blocked += far * (area_m2(stop + 2.0) - inside)
    return np.asarray(blocked)


def _area_from_subject_m2(stop_m: Floats, reach_m: Floats, crowd: Crowd) -> Floats:
    """Like `swept_area_m2` for stretches that begin at the subject: of its arcs at most two are left, shape (n,)."""
    r, e = crowd.r_m, crowd.body_width_m
    area = 2.0 * crowd.r_m * stop_m + crowd.ends_m2
    cut = np.flatnonzero(stop_m > reach_m - r)  # by the edge of the crowd
    stop, reach = stop_m[cut], reach_m[cut]
    y = _far_arc_crossing(stop, reach, r)
    area[cut] += 2.0 * (_segment(reach, y) - stop * y - _segment(r, y))
    short = np.flatnonzero(stop_m < crowd.beside_m)  # the round end reaches into the ground that the subject takes
    stop = stop_m[short]
    y = _far_arc_crossing(stop, e, r)
    area[short] += 2.0 * (crowd.own_m2 - _segment(e, y) - stop * (r - y) - math.pi * r * r / 4 + _segment(r, y))
    return np.asarray(np.where(stop_m > 0.0, np.maximum(area, 0.0), 0.0))


def _is_bent(start: Reals | None, stop: Reals, crowd: Crowd) -> Flags:
    """Tell where an end of a stretch lies on an arc of the region, so that its area is not that of a strip."""
    r, reach = crowd.r_m, crowd.reach_m
    inner, outer = (reach - r).astype(stop.dtype), np.sqrt(reach * reach - r * r).astype(stop.dtype)
    is_bent = stop > inner
    is_bent &= stop < outer
    if start is None:
        is_bent |= stop < crowd.beside_m
        return is_bent
    is_bent |= (stop < crowd.beside_m) & (stop > start)
    is_bent |= (start > crowd.beside_m) & (start < crowd.body_width_m + r)
    is_bent |= (start > inner) & (start < (reach + r).astype(stop.dtype)) & (stop > start)
    return is_bent


def low_stretch_m(
    distance_m: Reals, lens_z_m: Reals, *, point_z_m: Reals, body_height_m: Reals
) -> tuple[Reals | None, Reals]:
    """Where a ray is lower than the bodies, as distances from the subject along the ground [m].

    Parameters
    ----------
    distance_m : shape (p, t), ground distance from the subject to the lens
    lens_z_m : shape (p, 1), height of the lens
    point_z_m : shape (..., 1, t), (t,) or (), height of the point on the subject
    body_height_m : shape (t,) or ()

    Returns
    -------
    start, stop : shape (..., p, t), equal where the ray is nowhere lower than the bodies; start None: 0 throughout
    """
    rise, under = lens_z_m - point_z_m, body_height_m - point_z_m
    point_low, lens_low = under > 0.0, lens_z_m < body_height_m
    if np.all(point_low):
        return None, distance_m * (under / np.maximum(rise, under))
    share = np.divide(under, rise, out=np.zeros_like(rise), where=rise != 0.0)
    crossing = distance_m * np.clip(share, 0.0, 1.0, out=share)
    start = np.where(point_low, 0.0, np.where(lens_low, crossing, distance_m)).astype(crossing.dtype)
    return start, np.where(lens_low, distance_m, np.where(point_low, crossing, distance_m))


def swept_area_m2(start_m: ArrayLike, stop_m: ArrayLike, *, reach_m: ArrayLike, body_width_m: float) -> Floats:
    """Area in which the axis of a body blocks a ray that is low between two distances from the subject [m2].

    Exact for the region drawn in the module's text; 0 where the stretch is empty.

    Parameters
    ----------
    start_m, stop_m : ends of the low stretch, 0 <= start <= stop [m]; all arguments broadcast
    reach_m : how far from the subject people stand, at least a body's width [m]

    >>> float(swept_area_m2(1.0, 3.0, reach_m=100.0, body_width_m=0.5).round(6))  # 2 r L + pi r^2
    1.19635
    """
    r, e = 0.5 * body_width_m, body_width_m
    start, stop, reach = (np.asarray(v, np.float64) for v in (start_m, stop_m, reach_m))
    y_end = np.minimum(_far_arc_crossing(stop, e, r), _near_arc_crossing(start, reach, r))
    y_outer = np.minimum(_far_arc_crossing(stop, reach, r), y_end)
    y_inner = np.minimum(_near_arc_crossing(start, e, r), y_end)
    cap_end = _segment(r, y_end)
    far = _segment(reach, y_outer) + stop * (y_end - y_outer) + cap_end - _segment(r, y_outer)
    near = _segment(e, y_inner) + start * (y_end - y_inner) - cap_end + _segment(r, y_inner)
    return np.where(stop > start, np.maximum(2.0 * (far - near), 0.0), 0.0)


def _segment(radius: ArrayLike, y: Floats) -> Floats:
    """Integral of sqrt(radius^2 - u^2) for u from 0 to y."""
    radius = np.asarray(radius, float)
    return np.asarray(0.5 * (y * np.sqrt(np.maximum(radius**2 - y**2, 0.0)) + radius**2 * np.arcsin(y / radius)))


def _far_arc_crossing(s: Floats, radius: ArrayLike, r: float) -> Floats:
    """Offset up to which ``s + sqrt(r^2 - y^2) >= sqrt(radius^2 - y^2)``; 0 never, r always."""
    square = np.asarray(radius, float) ** 2
    meet = (s**2 + square - r**2) / (2.0 * np.maximum(s, 1e-12))
    return np.where(s**2 >= square - r**2, r, np.sqrt(np.maximum(square - meet**2, 0.0)))


def _near_arc_crossing(s: Floats, radius: ArrayLike, r: float) -> Floats:
    """Offset up to which ``s - sqrt(r^2 - y^2) <= sqrt(radius^2 - y^2)``; 0 never, r always."""
    square = np.asarray(radius, float) ** 2
    meet = (s**2 + square - r**2) / (2.0 * np.maximum(s, 1e-12))
    return np.where(s**2 <= square - r**2, r, np.sqrt(np.maximum(square - meet**2, 0.0)))
