"""Places of a match file as shapes on the ground: polygons, lines, strips along a side, bands round the outline."""

from __future__ import annotations

import math
import re

import shapely
from shapely.geometry.base import BaseGeometry

from standmark.optimizer.match.venue_schema import PlaceTable
from standmark.sports.sport import PlayingArea


def key_of(name: str) -> str:
    """Lower-case key with hyphens for a name people gave: "Main stand, upper" -> "main-stand-upper"."""
    return re.sub(r"[^\w]+", "-", name.casefold()).strip("-") or "area"


def place_shape(table: PlaceTable, area: PlayingArea) -> BaseGeometry:
    """Shape of a place in pitch metres, in whichever of the forms it is given."""
    if table.polygon is not None:
        return shapely.Polygon(table.polygon)
    if table.line is not None:
        return shapely.LineString(table.line)
    near_m, far_m = table.offset_m or (0.0, 0.0)
    if table.side is not None:
        return side_strip(area, table.side, span_m=table.span_m, near_m=near_m, far_m=far_m)
    from_deg, to_deg = table.around or (0.0, 360.0)
    return around_band(area, from_deg=from_deg, to_deg=to_deg, near_m=near_m, far_m=far_m)


def side_strip(
    area: PlayingArea, side: str, *, span_m: tuple[float, float] | None, near_m: float, far_m: float
) -> BaseGeometry:
    """Strip along one side of the playing area's bounding box, between two distances outward from it."""
    low_x, low_y, high_x, high_y = area.outline.bounds
    along = (low_y, high_y) if side.endswith("x") else (low_x, high_x)
    first, last = span_m or along
    edge = {"+x": high_x, "-x": low_x, "+y": high_y, "-y": low_y}[side]
    sign = 1 if side[0] == "+" else -1
    a, b = edge + sign * near_m, edge + sign * far_m
    corners = [(a, first), (b, first), (b, last), (a, last)]
    points = corners if side.endswith("x") else [(y, x) for x, y in corners]
    return shapely.LineString([points[0], points[-1]]) if near_m == far_m else shapely.Polygon(points)


def around_band(area: PlayingArea, *, from_deg: float, to_deg: float, near_m: float, far_m: float) -> BaseGeometry:
    """Band round the outline between two distances outward, cut to a range of directions from its middle."""
    band = area.outline.buffer(max(far_m, near_m + 0.01)).difference(area.outline.buffer(near_m))
    if to_deg - from_deg >= 360:
        return band
    middle = area.outline.centroid
    reach_m = 3 * (area.length_m + area.width_m + far_m)
    steps = max(2, math.ceil((to_deg - from_deg) / 5))
    turns = [math.radians(from_deg + (to_deg - from_deg) * i / steps) for i in range(steps + 1)]
    fan = [(middle.x + reach_m * math.cos(t), middle.y + reach_m * math.sin(t)) for t in turns]
    return band.intersection(shapely.Polygon([(middle.x, middle.y), *fan]))
