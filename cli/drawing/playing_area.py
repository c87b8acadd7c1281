"""The playing area to scale: surface, markings, goals and posts, and dots where key moments happen."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely

from standmark.cli.drawing.ground import Ground
from standmark.cli.drawing.marks import Fill, Line, Mark, disc_ring, lines, rings
from standmark.geometry.arrays import Floats
from standmark.optimizer.work.ground_map import Mesh
from standmark.sports.sport import Marking, PlayingArea, Target

N_DOTS = 200
DOT_MM = 0.42
SPOT_MM = 0.35


def area_marks(area: PlayingArea, ground: Ground) -> Iterator[Mark]:
    """Draw the surface, its markings and what the sides score at."""
    outline = ground.shape(area.outline)
    yield Fill("ground", rings(outline))
    yield Line("outline", lines(outline))
    for marking in area.markings:
        yield from _marking_marks(marking, ground)
    for target in area.targets:
        yield from _target_marks(target, ground)


def dot_marks(mesh: Mesh, ground: Ground, *, n: int = N_DOTS) -> Iterator[Mark]:
    """Show where key moments happen: every dot stands for the same share of the match."""
    xy_mm = ground.place(spread_dots(mesh, n=n))
    yield Fill("dot", tuple(disc_ring(x, y, DOT_MM, points=8) for x, y in xy_mm.tolist()))


def spread_dots(mesh: Mesh, *, n: int) -> Floats:
    """Places of n dots, as many in each part of the ground as its share of the match asks for.

    The cells are walked along a curve that keeps neighbours together, and a dot is set wherever another
    n-th of the worth is passed; inside its cell it is moved by an evenly spread sequence, so no rows appear.

    Returns
    -------
    shape (n, 2) [m]
    """
    order = np.argsort(_curve_index(mesh.xy_m, mesh.step_m), kind="stable")
    passed = np.cumsum(mesh.worth[order])
    chosen = order[np.searchsorted(passed, (np.arange(n) + 0.5) / n * passed[-1])]
    steps = np.arange(n)[:, None] * (0.7548776662466927, 0.5698402909980532)  # powers of 1 / plastic number
    return np.asarray(mesh.xy_m[chosen] + (steps % 1.0 - 0.5) * mesh.step_m)


def _marking_marks(marking: Marking, ground: Ground) -> Iterator[Mark]:
    for part in shapely.get_parts(marking.shape):
        if part.geom_type == "Point":
            yield Fill("spot", (disc_ring(*ground.point(part.x, part.y), SPOT_MM, points=12),))
        else:
            yield Line("marking-dashed" if marking.is_dashed else "marking", lines(ground.shape(part)))


def _target_marks(target: Target, ground: Ground) -> Iterator[Mark]:
    for bar in target.bars:
        xy_m = np.array(bar)[:, :2]
        if np.ptp(xy_m, axis=0).max() > 0:
            yield Line("target", (ground.place(xy_m),))
        else:
            yield Fill("scale-dark", (disc_ring(*ground.point(*xy_m[0]), 0.5, points=12),))


def _curve_index(xy_m: Floats, step_m: float) -> Floats:
    """Place of each cell along a Hilbert curve over the ground."""
    cell = np.floor((xy_m - xy_m.min(axis=0)) / step_m + 0.25).astype(np.int64)
    bits = max(1, math.ceil(math.log2(cell.max() + 1)))
    x, y = cell[:, 0].copy(), cell[:, 1].copy()
    index = np.zeros(len(cell), dtype=np.int64)
    for bit in reversed(range(bits)):
        side = 1 << bit
        right, up = (x & side) > 0, (y & side) > 0
        index += side * side * ((3 * right) ^ up)
        flip = ~up & right
        x, y = (
            np.where(flip, side - 1 - (x & (side - 1)), x & (side - 1)),
            np.where(flip, side - 1 - (y & (side - 1)), y & (side - 1)),
        )
        x, y = np.where(up, x, y), np.where(up, y, x)
    return index.astype(float)
