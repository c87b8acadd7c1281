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

import numpy as np
from numpy.typing import ArrayLike, NDArray

from standmark.geometry.look import Looks, Reals, like

Floats = NDArray[np.float64]

BODY_HEIGHT_M = 1.8
BODY_WIDTH_M = 0.5  # shoulder breadth of an adult in clothes, rounded; common practice, no source
HEIGHT_NODES = 5  # Gauss-Legendre points over the subject's height


def clear_probability(
    looks: Looks,
    *,
    subject_m: ArrayLike,
    crowd_per_m2: ArrayLike,
    crowd_radius_m: ArrayLike,
    beyond_per_m2: ArrayLike = 0.0,
    feet_m: ArrayLike = 0.0,
    body_height_m: float = BODY_HEIGHT_M,
    body_width_m: float = BODY_WIDTH_M,
) -> Reals:
    """Share of the subject's height that other people leave free, on average over where they stand [0 to 1].

    ``mean over z of exp(-lambda A(z))``, see the module's text; the mean over the height is taken with five
    Gauss-Legendre points.

    Parameters
    ----------
    looks : from p lenses to t subjects
    subject_m, feet_m : shape (t,) or scalar, height and lower end of the subject [m]
    crowd_per_m2 : shape (t,) or scalar, other people per square metre round the subject
    crowd_radius_m : shape (t,) or scalar, how far from the subject they stand [m]
    beyond_per_m2 : shape (t,) or scalar, people per square metre farther away than that

    Returns
    -------
    shape (p, t)
    """
    height, feet = np.asarray(subject_m, np.float64), np.asarray(feet_m, np.float64)
    near, far = np.asarray(crowd_per_m2, np.float64), np.asarray(beyond_per_m2, np.float64)

    def free(start: Reals | None, stop: Reals) -> Reals:
        people = swept_area_m2(start, stop, crowd_radius_m=crowd_radius_m, body_width_m=body_width_m)
        people *= like(looks, far - near)
        if np.any(far):
            all_round = swept_area_m2(start, stop, crowd_radius_m=np.inf, body_width_m=body_width_m)
            people -= like(looks, far) * all_round
        return np.asarray(np.exp(people, out=people))

    if bool(np.all(looks.lens_z_m <= body_height_m)) and np.max(feet + height) <= body_height_m:
        return free(None, looks.run_m)  # every ray is lower than the bodies all the way
    clear = np.zeros_like(looks.run_m)
    for node, weight in zip(*np.polynomial.legendre.leggauss(HEIGHT_NODES), strict=True):
        z = like(looks, feet + height * 0.5 * (1.0 + node))
        part = free(*low_stretch_m(looks.run_m, looks.lens_z_m, point_z_m=z, body_height_m=body_height_m))
        part *= 0.5 * float(weight)
        clear += part
    return np.minimum(clear, 1.0, out=clear)  # the weights sum to 1 but for the last digit


def low_stretch_m(
    distance_m: Reals, lens_z_m: Reals, *, point_z_m: Reals, body_height_m: float
) -> tuple[Reals | None, Reals]:
    """Where a ray is lower than the bodies, as distances from the subject along the ground [m].

    Parameters
    ----------
    distance_m : shape (p, t), ground distance from the subject to the lens
    lens_z_m : shape (p, 1), height of the lens
    point_z_m : shape (t,), height of the point on the subject

    Returns
    -------
    start, stop : shape (p, t), equal where the ray is nowhere lower than the bodies; start None where it is 0 throughout
    """
    rise = lens_z_m - point_z_m
    crossing = np.divide(body_height_m - point_z_m, rise, out=np.zeros_like(rise), where=rise != 0.0)
    np.clip(crossing, 0.0, 1.0, out=crossing)
    crossing *= distance_m
    point_low, lens_low = point_z_m < body_height_m, lens_z_m < body_height_m
    if point_low.all() and not lens_low.any():
        return None, crossing
    start = np.where(point_low, 0.0, np.where(lens_low, crossing, distance_m))
    return start, np.where(lens_low, distance_m, np.where(point_low, crossing, distance_m))


def swept_area_m2(
    start_m: ArrayLike | None, stop_m: ArrayLike, *, crowd_radius_m: ArrayLike, body_width_m: float
) -> Reals:
    """Area in which the axis of a body blocks a ray that is low between two distances from the subject [m2].

    Exact for the region drawn in the module's text; 0 where the stretch is empty.

    Parameters
    ----------
    start_m, stop_m : ends of the low stretch, 0 <= start <= stop [m]; broadcast with `crowd_radius_m`; None: start 0
    crowd_radius_m : inf for people everywhere

    >>> float(swept_area_m2(1.0, 3.0, crowd_radius_m=100.0, body_width_m=0.5).round(6))  # 2 r L + pi r^2
    1.19635
    """
    r, e = 0.5 * body_width_m, body_width_m
    stop = np.asarray(stop_m)
    stop = stop if stop.dtype == np.float32 else stop.astype(np.float64)
    start = np.zeros((), stop.dtype) if start_m is None else np.asarray(start_m, stop.dtype)
    reach = np.maximum(np.asarray(crowd_radius_m, np.float64), e)
    near, far = np.sqrt(e * e - r * r), np.sqrt(reach * reach - r * r)
    own, cap = (_segment(a, np.asarray(r)) for a in (e, r))
    area = np.atleast_1d(stop * (2.0 * r))
    area += np.asarray(2.0 * (cap - own), stop.dtype)
    np.minimum(area, np.asarray(_whole_area(reach, r) - 2.0 * own, stop.dtype), out=area)
    is_curved = stop < near
    is_curved |= (stop > (reach - r).astype(stop.dtype)) & (stop < far.astype(stop.dtype))
    is_curved |= start > near
    at = np.nonzero(np.broadcast_to(is_curved, area.shape))
    if len(at[0]):
        ends = (np.broadcast_to(v, area.shape)[at].astype(np.float64) for v in (start, stop, reach))
        area[at] = _curved_area(*ends, r=r, e=e)
    return area.reshape(np.broadcast_shapes(start.shape, stop.shape, reach.shape))


def _whole_area(reach: Floats, r: float) -> Floats:
    """Area of the strip of width 2 r from the subject to the end of the crowd; inf without an end."""
    finite = np.where(np.isfinite(reach), reach, 1.0)
    return np.where(np.isfinite(reach), 2.0 * _segment(finite, np.full(finite.shape, r)), np.inf)


def _curved_area(start: Floats, stop: Floats, reach: Floats, *, r: float, e: float) -> Floats:
    """Area where an end of the stretch is cut by an arc; any stretch and reach."""
    reach = np.minimum(reach, stop + 2.0 * e)  # as good as any farther
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
