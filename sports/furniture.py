"""What chairs, tables, benches and people who stay in their place hide, as occluders."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.sightlines.occluder import Occluder
from standmark.sports.sport import Furniture

Edge = tuple[tuple[float, float], tuple[float, float]]
TOUCH_M = 0.05
NOTHING_M = 0.02  # a thing that hides less breadth than this, such as a flag on its staff, hides nothing


def furniture_occluders(thing: Furniture, outline: BaseGeometry) -> tuple[Occluder, ...]:
    """Walls round the footprint of a thing: each is crossed twice, so it lets through the root of the whole share.

    What is open to play keeps only the edges that do not face the playing area: from there one looks into it.

    Parameters
    ----------
    outline : the playing area
    """
    return tuple(_walls(thing, outline))


def _walls(thing: Furniture, outline: BaseGeometry) -> Iterator[Occluder]:
    for part in shapely.get_parts(thing.shape):
        if (1.0 - thing.see_through) * 2.0 * shapely.minimum_bounding_radius(part) < NOTHING_M:
            continue
        ring = part.exterior if part.geom_type == "Polygon" else part
        points = [(float(x), float(y)) for x, y in shapely.get_coordinates(ring.simplify(TOUCH_M))]
        if not thing.is_open_to_play or part.geom_type != "Polygon":
            is_ring = part.geom_type == "Polygon"
            through = math.sqrt(thing.see_through) if is_ring else thing.see_through
            yield Occluder(thing.name, tuple(points), thing.base_m, thing.top_m, through)
            continue
        line = _away_from(outline, points)
        yield Occluder(thing.name, tuple(line), thing.base_m, thing.top_m, thing.see_through)


def _away_from(outline: BaseGeometry, ring: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Points of a closed ring without its edge that is nearest to the playing area, as one line."""
    edges = list(pairwise(ring))
    middles = [shapely.Point((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in edges]
    front = min(range(len(edges)), key=lambda i: (round(middles[i].distance(outline), 3), -_length(edges[i])))
    return [edges[(front + 1 + k) % len(edges)][0] for k in range(len(edges))]


def _length(edge: Edge) -> float:
    return math.dist(*edge)
