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

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from standmark.geometry.look import Looks, Reals, like

Floats = NDArray[np.float64]

BODY_HEIGHT_M = 1.8
BODY_WIDTH_M = 0.5  # shoulder breadth of an adult in clothes, rounded; common practice, no source
HEIGHT_NODES = 5  # Gauss-Legendre points over the subject's height


@dataclass(frozen=True, eq=False)
class Crowd:
    """Other people round subjects and farther off, and how large they are."""

    per_m2: Floats  # shape (t,) or (), within the reach
    beyond_per_m2: Floats  # shape (t,) or (), farther away
    reach_m: Floats  # shape (t,) or (), how far from the subject they stand
    whole_m2: Floats  # shape (t,) or (), area of a strip as wide as a body from the subject to the reach
    body_height_m: Floats  # shape (t,) or ()
    body_width_m: float


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
    whole = 2.0 * (_segment(reach, np.full(reach.shape, r)) - _segment(body_width_m, np.asarray(r)))
    return Crowd(near, far, reach, whole, np.asarray(body_height_m, np.float64), body_width_m)


def clear_probability(looks: Looks, crowd: Crowd, *, subject_m: ArrayLike, feet_m: ArrayLike = 0.0) -> Reals:
    """Share of the subject's height that other people leave free, on average over where they stand [0 to 1].

    ``mean over z of exp(-lambda A(z))``, see the module's text; the mean over the height is taken with five
    Gauss-Legendre points. Where people farther off have a density of their own the exponent is
    ``-(lambda A + lambda' (A' - A))``, A' being the area without an end.

    Parameters
    ----------
    looks : from p lenses to t subjects
    subject_m, feet_m : shape (t,) or scalar, height and lower end of the subject [m]

    Returns
    -------
    shape (p, t)
    """
    height, feet = np.asarray(subject_m, np.float64), np.asarray(feet_m, np.float64)
    body = like(looks, crowd.body_height_m)
    is_low = (looks.lens_z_m[:, 0] <= body.min()) & bool(np.all(feet + height <= crowd.body_height_m))
    if is_low.all():
        return _free(None, looks.run_m, crowd)  # every ray is lower than the bodies all the way
    high = np.flatnonzero(~is_low)
    run, lens_z, mean = looks.run_m[high], looks.lens_z_m[high], np.zeros_like(looks.run_m[high])
    for node, weight in zip(*np.polynomial.legendre.leggauss(HEIGHT_NODES), strict=True):
        z = like(looks, feet + height * 0.5 * (1.0 + node))
        part = _free(*low_stretch_m(run, lens_z, point_z_m=z, body_height_m=body), crowd)
        part *= 0.5 * float(weight)
        mean += part
    clear = np.empty_like(looks.run_m)
    clear[high] = np.minimum(mean, 1.0, out=mean)  # the weights sum to 1 but for the last digit
    low = np.flatnonzero(is_low)
    if len(low):
        clear[low] = _free(None, looks.run_m[low], crowd)
    return clear


def _free(start: Reals | None, stop: Reals, crowd: Crowd) -> Reals:
    """Probability that nobody stands in the low stretch of a ray."""
    near, far = (np.asarray(v, stop.dtype) for v in (crowd.per_m2, crowd.beyond_per_m2))
    inside = swept_area_m2(start, stop, crowd)
    if not np.any(far):
        inside *= -near
    elif start is None:
        outside = straight_area_m2(stop, body_width_m=crowd.body_width_m)
        outside -= inside
        np.maximum(outside, 0.0, out=outside)  # a stretch that ends beside the subject is shorter than straight
        outside *= far
        inside *= -near
        inside -= outside
    else:
        endless = crowd_round(0.0, np.inf, body_height_m=crowd.body_height_m, body_width_m=crowd.body_width_m)
        everywhere = swept_area_m2(start, stop, endless)
        inside *= far - near
        inside -= far * everywhere
    return np.exp(inside, out=inside)


def low_stretch_m(
    distance_m: Reals, lens_z_m: Reals, *, point_z_m: Reals, body_height_m: Reals
) -> tuple[Reals | None, Reals]:
    """Where a ray is lower than the bodies, as distances from the subject along the ground [m].

    Parameters
    ----------
    distance_m : shape (p, t), ground distance from the subject to the lens
    lens_z_m : shape (p, 1), height of the lens
    point_z_m, body_height_m : shape (t,) or (), heights of the point on the subject and of the bodies

    Returns
    -------
    start, stop : shape (p, t), equal where the ray is nowhere lower than the bodies; start None: 0 throughout
    """
    rise, under = lens_z_m - point_z_m, body_height_m - point_z_m
    point_low, lens_low = under > 0.0, lens_z_m < body_height_m
    if np.all(point_low):
        return None, distance_m * (under / np.maximum(rise, under))
    share = np.divide(under, rise, out=np.zeros_like(rise), where=rise != 0.0)
    crossing = distance_m * np.clip(share, 0.0, 1.0, out=share)
    start = np.where(point_low, 0.0, np.where(lens_low, crossing, distance_m)).astype(crossing.dtype)
    return start, np.where(lens_low, distance_m, np.where(point_low, crossing, distance_m))


def swept_area_m2(start_m: Reals | None, stop_m: Reals, crowd: Crowd) -> Reals:
    """Area in which the axis of a body blocks a ray that is low between two distances from the subject [m2].

    Exact for the region drawn in the module's text; 0 where the stretch is empty.

    Parameters
    ----------
    start_m, stop_m : shape (p, t), ends of the low stretch, 0 <= start <= stop [m]; None: start 0

    >>> area = swept_area_m2(np.array([[1.0]]), np.array([[3.0]]), crowd_round(0.1, 100.0, body_width_m=0.5))
    >>> float(area[0, 0].round(6))  # 2 r L + pi r^2
    1.19635
    """
    r, e, reach = 0.5 * crowd.body_width_m, crowd.body_width_m, crowd.reach_m
    near, far = float(np.sqrt(e * e - r * r)), np.sqrt(reach * reach - r * r)
    area = straight_area_m2(stop_m, body_width_m=e)
    np.minimum(area, crowd.whole_m2.astype(area.dtype), out=area)
    is_curved = stop_m > (reach - r).astype(area.dtype)
    is_curved &= stop_m < far.astype(area.dtype)
    is_curved |= stop_m < near
    if start_m is not None:
        is_curved |= start_m > near
    at = np.flatnonzero(is_curved)
    if len(at):
        start = np.zeros(len(at)) if start_m is None else start_m.reshape(-1)[at]
        ends = np.broadcast_to(reach, area.shape[-1:])[at % area.shape[-1]]
        stop = stop_m.reshape(-1)[at]
        area.reshape(-1)[at] = _curved_area(start.astype(np.float64), stop.astype(np.float64), ends, r=r, e=e)
    return area


def straight_area_m2(stop_m: Reals, *, body_width_m: float) -> Reals:
    """Area for a stretch from the subject that ends well outside it, with nobody's end to the crowd [m2]."""
    r, e = 0.5 * body_width_m, body_width_m
    area = stop_m * (2.0 * r)
    area += 2.0 * float(_segment(r, np.asarray(r)) - _segment(e, np.asarray(r)))
    return area


def _curved_area(start: Floats, stop: Floats, reach: Floats, *, r: float, e: float) -> Floats:
    """Area where an end of the stretch is cut by an arc; any stretch and reach."""
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
