"""Shapes of a definition as geometry in the pitch frame, at an actual size."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.affinity import scale
from shapely.geometry.base import BaseGeometry

from standmark.sports.shapes.expression import Length, evaluate
from standmark.sports.shapes.shape import (
    MAX_POINTS,
    AnyShape,
    Arc,
    Area,
    Around,
    Circle,
    Cut,
    Ellipse,
    Fan,
    LineShape,
    LinesShape,
    Pair,
    Polygon,
    Rect,
    Sector,
    SpotShape,
)
from standmark.sports.shapes.unsound import why_unsound

SAGITTA_M = 0.002  # a curve is drawn as chords that stay this near to it


@dataclass(frozen=True)
class Measures:
    """What a shape is measured by: the named sizes and, once known, the playing area."""

    sizes_m: Mapping[str, float]
    outline: BaseGeometry | None = None


def build(shape: AnyShape, frame: Measures) -> BaseGeometry:
    """Geometry of a shape in the pitch frame.

    Raises
    ------
    ValueError
        When it crosses itself, is empty or has a size that is not positive.
    """
    geometry = _mirrored(_cut(_plain(shape, frame), shape, frame), shape.mirror)
    if not geometry.is_valid:
        raise ValueError(why_unsound(geometry))
    if geometry.is_empty:
        raise ValueError("this shape is empty")
    return geometry


def build_line(shape: AnyShape, frame: Measures) -> BaseGeometry:
    """Painted line of a shape: its edge when it has an inside, clipped after the edge is taken."""
    plain = _plain(shape, frame)
    line = plain.boundary if plain.geom_type == "Polygon" else plain
    geometry = _mirrored(_cut(line, shape, frame), shape.mirror)
    if geometry.is_empty:
        raise ValueError("this line is empty")
    return geometry


def _plain(shape: AnyShape, frame: Measures) -> BaseGeometry:
    """Geometry before cutting and mirroring."""
    match shape:
        case Rect():
            return _rect(shape, frame)
        case Circle():
            return _ellipse(_point(shape.centre, frame), *[_positive(shape.radius, frame)] * 2)
        case Ellipse():
            radii = _positive(shape.radius_x, frame), _positive(shape.radius_y, frame)
            return _ellipse(_point(shape.centre, frame), *radii)
        case Sector():
            return _sector(shape, frame)
        case Polygon():
            return shapely.Polygon([_point(point, frame) for point in shape.points])
        case LineShape():
            return shapely.LineString([_point(point, frame) for point in shape.points])
        case LinesShape():
            return _lines(shape, frame)
        case Fan():
            return _fan(shape, frame)
        case Arc():
            radius = _positive(shape.radius, frame)
            return shapely.LineString(arc_points(_point(shape.centre, frame), radius, shape.angle_deg))
        case SpotShape():
            return shapely.Point(_point(shape.at, frame))
        case Around():
            line = shapely.LineString([_point(point, frame) for point in shape.points])
            radius = _positive(shape.radius, frame)
            return line.buffer(radius, quad_segs=chords_of_quadrant(radius))
        case Area():
            return _area(shape, frame)


def arc_points(
    centre_m: tuple[float, float], radius_m: float, angle_deg: tuple[float, float]
) -> list[tuple[float, float]]:
    """Points on a circle, anticlockwise from the first direction to the second, both included."""
    turn = (angle_deg[1] - angle_deg[0]) % 360.0 or 360.0
    n_chords = math.ceil(turn / 90.0 * chords_of_quadrant(radius_m))
    angles_rad = np.radians(np.linspace(angle_deg[0], angle_deg[0] + turn, n_chords + 1))
    return [(centre_m[0] + radius_m * math.cos(a), centre_m[1] + radius_m * math.sin(a)) for a in angles_rad]


def chords_of_quadrant(radius_m: float) -> int:
    """Chords for a quarter of a circle so that none is further than SAGITTA_M from it; at least eight."""
    if radius_m <= 4 * SAGITTA_M:
        return 8
    return max(8, math.ceil(math.pi / 4 / math.acos(1.0 - SAGITTA_M / radius_m)))


def _rect(shape: Rect, frame: Measures) -> BaseGeometry:
    (left, low), (right, high) = _point((shape.x[0], shape.y[0]), frame), _point((shape.x[1], shape.y[1]), frame)
    if right <= left or high <= low:
        raise ValueError(f"has no inside: x from {left:g} to {right:g} m, y from {low:g} to {high:g} m; lowest first")
    radius = evaluate(shape.radius, frame.sizes_m)
    if radius <= 0:
        return shapely.box(left, low, right, high)
    if 2 * radius >= min(right - left, high - low):
        raise ValueError(f"corner radius {radius:g} m is too large for it")
    core = shapely.box(left + radius, low + radius, right - radius, high - radius)
    return core.buffer(radius, quad_segs=chords_of_quadrant(radius))


def _ellipse(centre_m: tuple[float, float], radius_x_m: float, radius_y_m: float) -> BaseGeometry:
    largest_m = max(radius_x_m, radius_y_m)
    circle = shapely.Polygon(arc_points((0.0, 0.0), largest_m, (0.0, 360.0))[:-1])
    oval = scale(circle, radius_x_m / largest_m, radius_y_m / largest_m, origin=(0.0, 0.0))
    return shapely.transform(oval, lambda xy: xy + np.asarray(centre_m))


def _sector(shape: Sector, frame: Measures) -> BaseGeometry:
    centre, outer = _point(shape.centre, frame), _positive(shape.radius[1], frame)
    inner = evaluate(shape.radius[0], frame.sizes_m)
    if not 0 <= inner < outer:
        raise ValueError(f"the inner radius, {inner:g} m, must be at least 0 and below the outer one, {outer:g} m")
    rim = arc_points(centre, outer, shape.angle_deg)
    is_whole = (shape.angle_deg[1] - shape.angle_deg[0]) % 360.0 == 0
    if is_whole:
        hole = [arc_points(centre, inner, shape.angle_deg)] if inner > 0 else []
        return shapely.Polygon(rim, hole)
    core = arc_points(centre, inner, shape.angle_deg)[::-1] if inner > 0 else [centre]
    return shapely.Polygon([*rim, *core])


def _lines(shape: LinesShape, frame: Measures) -> BaseGeometry:
    (left, low), (right, high) = _point((shape.x[0], shape.y[0]), frame), _point((shape.x[1], shape.y[1]), frame)
    step = _positive(shape.every, frame)
    count = math.floor((right - left) / step + 1e-6) + 1
    if not 0 < count <= MAX_POINTS:
        raise ValueError(f"{count} lines between {left:g} and {right:g} m; allowed: 1 to {MAX_POINTS}")
    return shapely.MultiLineString([[(left + i * step, low), (left + i * step, high)] for i in range(count)])


def _fan(shape: Fan, frame: Measures) -> BaseGeometry:
    first, middle, last = (_point(point, frame) for point in shape.rim)
    centre, radius = circle_through(first, middle, last)
    angles = [math.degrees(math.atan2(y - centre[1], x - centre[0])) for x, y in (first, middle, last)]
    is_anticlockwise = (angles[1] - angles[0]) % 360.0 < (angles[2] - angles[0]) % 360.0
    ends = (angles[0], angles[2]) if is_anticlockwise else (angles[2], angles[0])
    return shapely.Polygon([_point(shape.corner, frame), *arc_points(centre, radius, ends)])


def circle_through(
    first_m: tuple[float, float], second_m: tuple[float, float], third_m: tuple[float, float]
) -> tuple[tuple[float, float], float]:
    """Centre and radius of the circle through three points.

    Raises
    ------
    ValueError
        When the points lie on one line.
    """
    a, b, c = complex(*first_m), complex(*second_m), complex(*third_m)
    ratio = (c - a) / (b - a) if a != b else 0j
    if abs(ratio.imag) < 1e-9:
        raise ValueError("the three points of the arc lie on one line")
    centre = (b - a) * (ratio - abs(ratio) ** 2) / (2j * ratio.imag) + a
    return (centre.real, centre.imag), abs(a - centre)


def _area(shape: Area, frame: Measures) -> BaseGeometry:
    if frame.outline is None:
        raise ValueError("the outline cannot refer to itself")
    return frame.outline.buffer(evaluate(shape.grow, frame.sizes_m), join_style="mitre", quad_segs=32)


def _cut(geometry: BaseGeometry, shape: Cut, frame: Measures) -> BaseGeometry:
    if not geometry.is_valid:
        raise ValueError(why_unsound(geometry))
    if shape.inside is not None:
        geometry = geometry.intersection(build(shape.inside, frame))
    if shape.outside is not None:
        geometry = geometry.difference(build(shape.outside, frame))
    return geometry


def _mirrored(geometry: BaseGeometry, mirror: str) -> BaseGeometry:
    if "x" in mirror:
        geometry = geometry.union(scale(geometry, -1.0, 1.0, origin=(0.0, 0.0)))
    if "y" in mirror:
        geometry = geometry.union(scale(geometry, 1.0, -1.0, origin=(0.0, 0.0)))
    return geometry


def _point(pair: Pair, frame: Measures) -> tuple[float, float]:
    return evaluate(pair[0], frame.sizes_m), evaluate(pair[1], frame.sizes_m)


def _positive(length: Length, frame: Measures) -> float:
    metres = evaluate(length, frame.sizes_m)
    if metres <= 0:
        raise ValueError(f"must be larger than 0 (got {metres:g} m)")
    return metres
