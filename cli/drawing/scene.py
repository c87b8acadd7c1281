"""What stands and lies on a ground, in space: surface, markings, goals and nets, obstacles, people."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.cli.drawing.marks import rings
from standmark.geometry.arrays import Floats
from standmark.geometry.sightlines.occluder import Occluder
from standmark.optimizer.match.match import Match
from standmark.optimizer.value.surroundings import fixed_occluders

PANEL_M = 3.0  # long walls are cut into panels, so that nearer things are drawn over farther ones
MESH_M = 0.35  # of a net as drawn; real ones are finer
LAWN_STEP_M = 5.0  # the outline is cut, so that clipping at the lens keeps its shape
SPOT_M = 0.15  # radius of a painted spot
VEIL_FROM = 0.2  # see-through share from which an obstacle is drawn as a veil

# Right half of a standing person seen from the front, from the crotch round to the top of the head: across and up,
# in shares of the height (proportions from memory: the head an eighth of the height, shoulders a quarter of it wide)
HALF_FIGURE = np.array([
    (0.0, 0.44), (0.022, 0.42), (0.03, 0.2), (0.035, 0.03), (0.04, 0.0), (0.085, 0.0), (0.08, 0.04), (0.085, 0.22),
    (0.105, 0.42), (0.105, 0.48), (0.12, 0.44), (0.135, 0.45), (0.145, 0.58), (0.14, 0.74), (0.125, 0.81),
    (0.05, 0.835),
    (0.03, 0.85), (0.03, 0.865), (0.055, 0.89), (0.066, 0.94), (0.05, 0.985), (0.0, 1.0),
])  # fmt: skip
ROUNDINGS = 2  # times that every corner of the figure is cut


@dataclass(frozen=True, eq=False)
class Wire:
    """A line in space."""

    style: str
    xyz_m: Floats  # shape (n, 3)


@dataclass(frozen=True, eq=False)
class Panel:
    """A flat surface, lying or standing; a veil lets some of what is behind it through."""

    style: str
    xyz_m: Floats  # shape (n, 3), corners


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything a frame can show. What lies on the ground comes first, what stands is sorted by distance."""

    lying: tuple[Wire | Panel, ...]
    standing: tuple[Wire | Panel, ...]
    behind: str  # style of what lies above the horizon: "sky" or "hall"


def match_scene(match: Match) -> Scene:
    """Build the scene of a match, without people."""
    area = match.sport.area
    edge = shapely.LineString(rings(area.outline)[0])
    lawn = shapely.segmentize(edge, LAWN_STEP_M)
    lying: list[Wire | Panel] = [Panel("lawn", _raised(lawn)[:-1]), Wire("chalk", _raised(edge))]
    for shape in (part for marking in area.markings for part in shapely.get_parts(marking.shape)):
        if shape.geom_type == "Point":
            lying.append(Panel("chalk-spot", _raised(shape.buffer(SPOT_M, quad_segs=4))[:-1]))
        else:
            lying += [Wire("chalk", _raised(part)) for part in _edges(shape)]
    bars = [Wire("bar", np.array(bar, float)) for target in area.targets for bar in target.bars]
    standing = [piece for occluder in fixed_occluders(match) for piece in _occluder_pieces(occluder)]
    return Scene(tuple(lying), (*bars, *standing), "hall" if match.venue.is_indoor else "sky")


def _occluder_pieces(occluder: Occluder) -> Iterator[Wire | Panel]:
    corners = np.array(occluder.footprint_m, float)
    is_veil = occluder.see_through >= VEIL_FROM
    ends = np.vstack([corners, corners[:1]]) if occluder.is_closed else corners
    for a, b in pairwise(ends):
        yield from _wall(a, b, occluder, "veil" if is_veil else "wall")
        if is_veil:
            yield from _net(a, b, occluder)
    if occluder.is_closed:
        yield Panel("roof", np.column_stack([corners, np.full(len(corners), occluder.top_m)]))


def _wall(a: Floats, b: Floats, occluder: Occluder, style: str) -> Iterator[Panel]:
    n = max(1, int(np.ceil(np.hypot(*(b - a)) / PANEL_M)))
    stops = a + np.linspace(0.0, 1.0, n + 1)[:, None] * (b - a)
    for c, d in pairwise(stops):
        low, high = occluder.base_m, occluder.top_m
        yield Panel(style, np.array([(*c, low), (*d, low), (*d, high), (*c, high)]))


def _net(a: Floats, b: Floats, occluder: Occluder) -> Iterator[Wire]:
    low, high = occluder.base_m, occluder.top_m
    across = max(1, round(float(np.hypot(*(b - a))) / MESH_M))
    for share in np.linspace(0.0, 1.0, across + 1):
        x, y = a + share * (b - a)
        yield Wire("mesh", np.array([(x, y, low), (x, y, high)]))
    for z in np.linspace(low, high, max(1, round((high - low) / MESH_M)) + 1):
        yield Wire("mesh", np.array([(*a, z), (*b, z)]))


def figure_ring(height_m: float) -> Floats:
    """Outline of a standing person, across and up, shape (n, 2) [m], feet at the origin, exactly as tall as asked."""
    ring = np.vstack([HALF_FIGURE, HALF_FIGURE[-2:0:-1] * (-1.0, 1.0)])
    for _ in range(ROUNDINGS):  # Chaikin's corner cutting
        after = np.roll(ring, -1, axis=0)
        ring = np.stack([0.75 * ring + 0.25 * after, 0.25 * ring + 0.75 * after], axis=1).reshape(-1, 2)
    low, high = ring[:, 1].min(), ring[:, 1].max()
    return np.asarray((ring - (0.0, low)) * height_m / (high - low))


def _edges(shape: BaseGeometry) -> list[BaseGeometry]:
    return [shape.exterior, *shape.interiors] if isinstance(shape, shapely.Polygon) else [shape]


def _raised(line: BaseGeometry) -> Floats:
    """Corners of a line on the ground, shape (n, 3)."""
    xy = shapely.get_coordinates(line)
    return np.column_stack([xy, np.zeros(len(xy))])
