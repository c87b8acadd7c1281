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

Floats = NDArray[np.float64]

BODY_HEIGHT_M = 1.8
BODY_WIDTH_M = 0.5  # shoulder breadth of an adult in clothes, rounded; common practice, no source
HEIGHT_NODES = 5  # Gauss-Legendre points over the subject's height


def clear_probability(
    camera_xyz_m: ArrayLike,
    target_xyz_m: ArrayLike,
    *,
    subject_m: ArrayLike,
    crowd_per_m2: ArrayLike,
    crowd_radius_m: ArrayLike,
    beyond_per_m2: ArrayLike = 0.0,
    body_height_m: float = BODY_HEIGHT_M,
    body_width_m: float = BODY_WIDTH_M,
) -> Floats:
    """Share of the subject's height that other people leave free, on average over where they stand [0 to 1].

    ``mean over z of exp(-lambda A(z))``, see the module's text; the mean over the height is taken with five
    Gauss-Legendre points.

    Parameters
    ----------
    camera_xyz_m : shape (p, 3) [m]
    target_xyz_m : shape (t, 3), middle of the subject [m]
    subject_m : shape (t,) or scalar, height of the subject; it stands on the ground where its middle would put its
        feet below [m]
    crowd_per_m2 : shape (t,) or scalar, other people per square metre round the subject
    crowd_radius_m : shape (t,) or scalar, how far from the subject they stand [m]
    beyond_per_m2 : shape (t,) or scalar, people per square metre further away than that, up to the lens; what they
        block is a strip as wide as a body, right to a part of the area of one body

    Returns
    -------
    shape (p, t)
    """
    camera, target = np.asarray(camera_xyz_m, float), np.asarray(target_xyz_m, float)
    height = np.broadcast_to(np.asarray(subject_m, float), len(target))
    feet = np.maximum(target[:, 2] - 0.5 * height, 0.0)
    distance = np.hypot(camera[:, None, 0] - target[None, :, 0], camera[:, None, 1] - target[None, :, 1])

    def free(start: ArrayLike, stop: Floats) -> Floats:
        area = swept_area_m2(start, stop, crowd_radius_m=crowd_radius_m, body_width_m=body_width_m)
        area *= -np.asarray(crowd_per_m2, float)
        if is_beyond:
            strip_m = np.maximum(stop - np.maximum(start, crowd_radius_m), 0.0)
            area -= body_width_m * np.asarray(beyond_per_m2, float) * strip_m
        return np.asarray(np.exp(area, out=area))

    is_beyond = bool(np.any(np.asarray(beyond_per_m2) > 0))
    clear: Floats = np.zeros_like(distance)
    is_low = (camera[:, 2] <= body_height_m) & ((feet + height).max(initial=0.0) <= body_height_m)
    clear[is_low] = free(0.0, distance[is_low])  # every ray is lower than the bodies all the way
    for node, weight in zip(*np.polynomial.legendre.leggauss(HEIGHT_NODES), strict=True):
        z = feet + height * 0.5 * (1.0 + node)
        stretch = low_stretch_m(distance[~is_low], camera[~is_low, 2, None], point_z_m=z, body_height_m=body_height_m)
        clear[~is_low] += 0.5 * weight * free(*stretch)
    return np.minimum(clear, 1.0)  # the weights sum to 1 but for the last digit


def low_stretch_m(
    distance_m: ArrayLike, lens_z_m: ArrayLike, *, point_z_m: ArrayLike, body_height_m: float
) -> tuple[Floats, Floats]:
    """Where a ray is lower than the bodies, as distances from the subject along the ground [m].

    Parameters
    ----------
    distance_m : ground distance from the subject to the lens [m]; all arguments broadcast
    lens_z_m : height of the lens [m]
    point_z_m : height of the point on the subject [m]

    Returns
    -------
    start, stop : equal where the ray is nowhere lower than the bodies
    """
    distance, lens, point = np.broadcast_arrays(*(np.asarray(a, float) for a in (distance_m, lens_z_m, point_z_m)))
    rise = lens - point
    crossing = np.divide(body_height_m - point, rise, out=np.zeros_like(rise), where=rise != 0.0)
    crossing = distance * np.clip(crossing, 0.0, 1.0)
    point_low, lens_low = point < body_height_m, lens < body_height_m
    start = np.where(point_low, 0.0, np.where(lens_low, crossing, distance))
    stop = np.where(lens_low, distance, np.where(point_low, crossing, distance))
    return start, stop


def swept_area_m2(start_m: ArrayLike, stop_m: ArrayLike, *, crowd_radius_m: ArrayLike, body_width_m: float) -> Floats:
    """Area in which the axis of a body blocks a ray that is low between two distances from the subject [m2].

    Exact for the region drawn in the module's text; 0 where the stretch is empty.

    Parameters
    ----------
    start_m, stop_m : ends of the low stretch, 0 <= start <= stop [m]; broadcast with `crowd_radius_m`

    >>> float(swept_area_m2(1.0, 3.0, crowd_radius_m=100.0, body_width_m=0.5).round(6))  # 2 r L + pi r^2
    1.19635
    """
    r, e = 0.5 * body_width_m, body_width_m
    start, stop = np.asarray(start_m, float), np.asarray(stop_m, float)
    reach = np.maximum(np.asarray(crowd_radius_m, float), e)
    own = _segment(e, np.asarray(r))
    straight = 2.0 * r * stop + 2.0 * (0.25 * np.pi * r * r - own)
    area = np.atleast_1d(np.minimum(straight, 2.0 * (_segment(reach, np.full(reach.shape, r)) - own)))
    is_curved = (stop < np.sqrt(e * e - r * r)) | ((stop > reach - r) & (stop * stop < reach * reach - r * r))
    is_curved = np.atleast_1d(is_curved | (start > np.sqrt(e * e - r * r)))
    at = np.nonzero(np.broadcast_to(is_curved, area.shape))
    if len(at[0]):
        area[at] = _curved_area(*(np.broadcast_to(v, area.shape)[at] for v in (start, stop, reach)), r=r, e=e)
    return area.reshape(np.broadcast_shapes(start.shape, stop.shape, reach.shape))


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
