"""Events counted on a fine lattice over the playing area: all that an estimate of zones needs, of fixed size."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import Literal

import numpy as np
import shapely
from scipy.ndimage import distance_transform_edt, uniform_filter
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Floats, Indices

CELLS = 200  # along the longer side
SPREAD_CELLS = 3


@dataclass(frozen=True, eq=False)
class Lattice:
    """Equal cells over the bounding box of the playing area, an even number along both sides."""

    x_m: Floats  # shape (nx + 1,), edges
    y_m: Floats  # shape (ny + 1,), edges
    area_m2: Floats  # shape (nx, ny), part of each cell inside the playing area
    nearest: tuple[Indices, Indices]  # shape (nx, ny) each: nearest cell with an inside, for places outside

    @property
    def shape(self) -> tuple[int, int]:
        """Number of cells along x and y."""
        return self.area_m2.shape[0], self.area_m2.shape[1]


def ground_lattice(outline: BaseGeometry, *, cells: int = CELLS) -> Lattice:
    """Lay a lattice over a playing area.

    Parameters
    ----------
    outline : of the playing area
    cells : along its longer side
    """
    low_x, low_y, high_x, high_y = outline.bounds
    step_m = max(high_x - low_x, high_y - low_y) / cells
    x_m, y_m = (_edges(low, high, step_m) for low, high in ((low_x, high_x), (low_y, high_y)))
    left, bottom = np.meshgrid(x_m[:-1], y_m[:-1], indexing="ij")
    right, top = np.meshgrid(x_m[1:], y_m[1:], indexing="ij")
    boxes = shapely.box(left, bottom, right, top)
    area_m2 = shapely.area(boxes)
    shapely.prepare(outline)
    cut = ~shapely.contains(outline, boxes)
    area_m2[cut] = shapely.area(shapely.intersection(boxes[cut], outline))
    nearest = distance_transform_edt(area_m2 <= 0, return_distances=False, return_indices=True)
    return Lattice(x_m, y_m, area_m2, (nearest[0].astype(np.intp), nearest[1].astype(np.intp)))


def lattice_counts(lattice: Lattice, xy_m: Floats, weight: Floats) -> Floats:
    """Sum the weights of events by cell; a place outside the playing area counts in the nearest cell inside.

    Returns
    -------
    shape (nx, ny)
    """
    counts = np.zeros(lattice.area_m2.size)
    sides: tuple[Literal["left", "right"], ...] = ("left", "right")
    for side_x, side_y in product(sides, sides):  # a place on the edge of two cells counts half in each
        i = _cells(lattice.x_m, xy_m[:, 0], side_x)
        j = _cells(lattice.y_m, xy_m[:, 1], side_y)
        i, j = lattice.nearest[0][i, j], lattice.nearest[1][i, j]
        counts += 0.25 * np.bincount(i * lattice.shape[1] + j, weight, minlength=counts.size)
    return counts.reshape(lattice.shape)


def _cells(edges: Floats, at: Floats, side: Literal["left", "right"]) -> Indices:
    return np.clip(np.searchsorted(edges, at, side=side) - 1, 0, len(edges) - 2)


def spread(lattice: Lattice, counts: Floats) -> Floats:
    """Counts with every event spread evenly over SPREAD_CELLS cells along and across.

    Event data come rounded, often to a hundredth of the ground: zones must neither be cut along the gaps between
    the columns that leaves nor be praised for it. What would leave the playing area is reflected or lost, and the
    sum kept.

    Parameters
    ----------
    counts : shape (nx, ny)
    """
    smooth = uniform_filter(counts, SPREAD_CELLS, mode="reflect") * (lattice.area_m2 > 0)
    total = smooth.sum()
    return np.asarray(smooth * (counts.sum() / total)) if total > 0 else smooth


def mirrored(counts: Floats, mirror: str) -> Floats:
    """Mean of counts and their mirror images in the middle of the lattice.

    Parameters
    ----------
    counts : shape (..., nx, ny)
    mirror : "none", "y" (left and right alike) or "xy" (both ends alike too)
    """
    if mirror in ("y", "xy"):
        counts = 0.5 * (counts + counts[..., ::-1])
    return 0.5 * (counts + counts[..., ::-1, :]) if mirror == "xy" else counts


def _edges(low: float, high: float, step: float) -> Floats:
    n = 2 * max(1, round((high - low) / step / 2))
    return np.linspace(low, high, n + 1)
