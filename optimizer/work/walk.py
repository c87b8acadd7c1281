"""Ways on foot between spots of a ground: round the playing area, keep-clear ground and what stands in the way."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.sightlines.occluder import Occluder
from standmark.geometry.walk import Terrain, shortest_way, terrain
from standmark.optimizer.match.match import Match

WALK_M_S = 1.07  # with kit: 3.5 ft/s, the speed that pedestrian signals allow for (MUTCD 2009, 4E.06, from memory)
PACE_M = 0.75  # common practice, no source
HEAD_ROOM_M = 2.0  # what begins higher can be walked under
FENCE_M = 0.05  # half the thickness given to what is only a line

Place = tuple[float, float]


@dataclass(frozen=True)
class Walk:
    """The shortest way on foot from one spot to another."""

    length_m: float
    points_m: tuple[Place, ...]
    crosses: str  # what had to be crossed because no way leads round it; "" for nothing

    @property
    def minutes(self) -> float:
        """Time that it takes with kit."""
        return self.length_m / WALK_M_S / 60

    @property
    def paces(self) -> int:
        """Paces of a grown-up."""
        return round(self.length_m / PACE_M)


def walk_between(match: Match, start_m: Place, end_m: Place) -> Walk:
    """Find the shortest way round the playing area, keep-clear and forbidden ground, and all that stands there.

    Where these leave no way (a bench inside a fence), the last of them is crossed, and so on; the way never leads
    across the playing area.
    """
    layers = list(_layers(match))
    for n in range(len(layers), 0, -1):
        shapes = tuple(shape for _, shapes in layers[:n] for shape in shapes)
        way = shortest_way(_ready(shapes), start_m, end_m)
        if way is not None:
            return Walk(way.length_m, way.points_m, layers[n][0] if n < len(layers) else "")
    return Walk(math.dist(start_m, end_m), (start_m, end_m), "playing area")


def match_terrain(match: Match) -> Terrain:
    """Ground of a match with everything that nobody should cross on foot."""
    return _ready(tuple(shape for _, shapes in _layers(match) for shape in shapes))


def _layers(match: Match) -> Iterator[tuple[str, tuple[BaseGeometry, ...]]]:
    """What to walk round, in the order in which it has to be kept to."""
    area, venue = match.sport.area, match.venue
    yield "playing area", (area.outline,)
    yield "keep-clear ground", tuple(k.shape for k in area.keep_clear) if venue.respect_keep_clear else ()
    things = [o for target in area.targets for o in target.occluders] + list(venue.obstacles)
    furniture = tuple(thing.shape for thing in venue.furniture if thing.base_m < HEAD_ROOM_M)
    fixed = tuple(_footprint(thing) for thing in things if thing.base_m < HEAD_ROOM_M)
    yield "what stands in the way", fixed + furniture
    yield "forbidden ground", tuple(f.shape for f in venue.forbidden)


def _footprint(thing: Occluder) -> BaseGeometry:
    if thing.is_closed:
        return shapely.Polygon(thing.footprint_m)
    return shapely.buffer(shapely.LineString(thing.footprint_m), FENCE_M, cap_style="flat", join_style="mitre")


@lru_cache(maxsize=32)
def _ready(shapes: tuple[BaseGeometry, ...]) -> Terrain:
    return terrain(shapes)
