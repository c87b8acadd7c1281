"""How often other people stand between lens and subject: a Boolean model of moving bodies.

The bodies are upright cylinders of one height H and width 2 r whose axes form a Poisson process of density lambda
in the disc of radius R round the subject's ground point. Nobody stands inside the subject: axes keep e = 2 r away.

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
from dataclasses import dataclass

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

    per_m2: Floats  # shape (t,) or (), within the reach
    beyond_per_m2: Floats  # shape (t,) or (), farther away
    reach_m: Floats  # shape (t,) or (), how far from the subject they stand
    whole_m2: Floats  # shape (t,) or (), area of a strip as wide as a body from the subject to the reach
    ends_m2: float  # what the two ends of a stretch add to such a strip
    body_height_m: Floats  # shape (t,) or ()
    body_width_m: float

    @property
    def r_m(self) -> float:
        """Half a body's width."""
        return 0.5 * self.body_width_m


def crowd_round(
    per_m2: ArrayLike,
    radius_m: ArrayLike,
    *,
    beyond_per_m2: ArrayLike = 0.0,
    body_height_m: ArrayLike = BODY_HEIGHT_M,
    body_width_m: float = BODY_WIDTH_M,
) -> Crowd:
    """Describe the people round subjects.

    Parameters
    ----------
    per_m2 : shape (t,) or scalar, other people per square metre round the subject
    radius_m : shape (t,) or scalar, how far from the subject they stand [m]; inf everywhere
    beyond_per_m2 : shape (t,) or scalar, people per square metre farther away than that
    body_height_m : shape (t,) or scalar
    """
    near, far, radius = (np.asarray(v, np.float64) for v in (per_m2, beyond_per_m2, radius_m))
    reach, r = np.clip(radius, body_width_m, 1e6), 0.5 * body_width_m
    own, cap = (float(_segment(a, np.asarray(r))) for a in (body_width_m, r))
    whole = 2.0 * (_segment(reach, np.full(reach.shape, r)) - own)
    body = np.asarray(body_height_m, np.float64)
    return Crowd(near, far, reach, whole, 2.0 * (cap - own), body, body_width_m)


def clear_probability(sight: LinesOfSight, crowd: Crowd, *, subject_m: ArrayLike, feet_m: ArrayLike = 0.0) -> Reals:
    """Share of the subject's height that other people leave free, on average over where they stand [0 to 1].

    ``mean over z of exp(-lambda A(z))``, see the module's text; the mean over the height is taken with five
    Gauss-Legendre points (off by 0.001 on average and 0.014 at worst for crowds of up to 0.5 per m2). Where people
    farther off have a density of their own the exponent is ``-(lambda A + lambda' (A' - A))``, A' being the area
    without an end.

    Parameters
    ----------
    sight : from p lenses to t subjects
    subject_m, feet_m : shape (t,) or scalar, height and lower end of the subject [m]

    Returns
    -------
    shape (p, t)
    """
    height, feet = np.asarray(subject_m, np.float64), np.asarray(feet_m, np.float64)
    body = like(sight, crowd.body_height_m)
    is_low = (sight.lens_z_m[:, 0] <= body.min()) & bool(np.all(feet + height <= crowd.body_height_m))
    if is_low.all():
        return _free(None, sight.run_m, crowd)  # every ray is lower than the bodies all the way
    high, low = np.flatnonzero(~is_low), np.flatnonzero(is_low)
    z = like(sight, feet + height * NODES[:, None, None])
    stretch = low_stretch_m(sight.run_m[high], sight.lens_z_m[high], point_z_m=z, body_height_m=body)
    free = _free(*stretch, crowd)
    clear = np.empty_like(sight.run_m)
    free *= like(sight, WEIGHTS)[:, None, None]
    clear[high] = free.sum(axis=0)
    if len(low):
        clear[low] = _free(None, sight.run_m[low], crowd)
    return np.minimum(clear, 1.0, out=clear)  # the weights sum to 1 but for the last digit


def _free(start: Reals | None, stop: Reals, crowd: Crowd) -> Reals:
    """Probability that nobody stands in the low stretch of a ray, shape (..., t)."""
    near, far, whole = (np.asarray(v, stop.dtype) for v in (crowd.per_m2, crowd.beyond_per_m2, crowd.whole_m2))
    straight = stop * (2.0 * crowd.r_m)
    straight += crowd.ends_m2
    blocked = np.minimum(straight, whole)
    blocked *= far - near
    straight *= far
    blocked -= straight
    at = np.flatnonzero(_is_bent(start, stop, crowd))
    if len(at):
        low = stop.reshape(-1)[at].astype(np.float64)
        high = np.zeros(len(at)) if start is None else start.reshape(-1)[at].astype(np.float64)
        blocked.reshape(-1)[at] = -_people_in_the_way(high, low, at % stop.shape[-1], crowd)
    return np.asarray(np.exp(blocked, out=blocked))


def _people_in_the_way(start: Floats, stop: Floats, target: Indices, crowd: Crowd) -> Floats:
    """Expected number of people in the way of rays whose stretch may end anywhere, shape (n,)."""
    columns = (crowd.reach_m, crowd.per_m2, crowd.beyond_per_m2)
    reach, near, far = (v[target] if v.ndim else v for v in columns)
    inside = swept_area_m2(start, stop, reach_m=reach, body_width_m=crowd.body_width_m)
    if not np.any(far):
        return near * inside
    all_round = swept_area_m2(start, stop, reach_m=stop + 2.0, body_width_m=crowd.body_width_m)
    return near * inside + far * (all_round - inside)


def _is_bent(start: Reals | None, stop: Reals, crowd: Crowd) -> Flags:
    """Tell where an end of a stretch lies on an arc of the region, so that its area is not that of a strip."""
    r, reach = crowd.r_m, crowd.reach_m
    beside = math.sqrt(crowd.body_width_m**2 - r * r)
    is_bent = stop > (reach - r).astype(stop.dtype)
    is_bent &= stop < np.sqrt(reach * reach - r * r).astype(stop.dtype)
    is_bent |= stop < beside
    if start is not None:
        is_bent |= start > beside
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
