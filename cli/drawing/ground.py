"""From pitch metres to page millimetres, to a scale that a ruler can use."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Floats

Box = tuple[float, float, float, float]  # page millimetres: left, top, width, height

# scales that rulers carry or that divide into round numbers
SCALES = (50, 75, 100, 125, 150, 200, 250, 300, 400, 500, 600, 750, 1000, 1250, 1500, 2000, 2500, 3000, 4000, 5000,
          7500, 10000, 20000, 50000)  # fmt: skip


@dataclass(frozen=True)
class Ground:
    """A window on the ground: scale, place of the pitch origin on the page, and the part of the page it fills."""

    scale: float  # 1 : scale
    x_mm: float
    y_mm: float
    window: Box
    is_turned: bool = False  # by half a turn: x runs left, y runs down

    @property
    def mm_per_m(self) -> float:
        """Page millimetres for one metre."""
        return 1000.0 / self.scale

    def place(self, xy_m: Floats) -> Floats:
        """Page place of points, shape (..., 2); x runs right, y runs up, unless turned."""
        return np.asarray(xy_m, float) * (self._right_mm, -self._right_mm) + (self.x_mm, self.y_mm)

    def point(self, x_m: float, y_m: float) -> tuple[float, float]:
        """Page place of one point."""
        return self.x_mm + x_m * self._right_mm, self.y_mm - y_m * self._right_mm

    @property
    def _right_mm(self) -> float:
        """Millimetres that a metre along x goes to the right."""
        return -self.mm_per_m if self.is_turned else self.mm_per_m

    def shape(self, shape: BaseGeometry) -> BaseGeometry:
        """Shape on the page, cut at the window."""
        placed = shapely.transform(shape, self.place)
        if placed.geom_type == "Point" or shapely.is_empty(placed):
            return placed
        return cut(placed, self.window)


def cut(shape: BaseGeometry, box: Box) -> BaseGeometry:
    """Part of a shape that lies in a box."""
    left, top, width, height = box
    try:
        return shapely.clip_by_rect(shape, left, top, left + width, top + height)
    except shapely.GEOSException:  # the quick way fails on a corner that reaches in by less than rounding
        return shapely.intersection(shapely.make_valid(shape), shapely.box(left, top, left + width, top + height))


def bounds_of(shapes: Iterable[BaseGeometry], *, margin_m: float) -> Box:
    """Smallest upright box round some shapes, as low x, low y, high x, high y [m]."""
    boxes = np.array([shape.bounds for shape in shapes if not shape.is_empty])
    low, high = boxes[:, :2].min(axis=0) - margin_m, boxes[:, 2:].max(axis=0) + margin_m
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def fit_ground(bounds_m: Box, box: Box, *, is_turned: bool = False, exact: bool = False) -> Ground:
    """Lay a part of the ground in the middle of a box on the page, at the largest scale that fits.

    Parameters
    ----------
    bounds_m : low x, low y, high x, high y [m]
    box : room on the page
    is_turned : lay it the other way round, by half a turn
    exact : fill the box, whatever scale that gives
    """
    low_x, low_y, high_x, high_y = bounds_m
    left, top, width, height = box
    least = 1000.0 * max((high_x - low_x) / width, (high_y - low_y) / height)
    usual = next((s for s in SCALES if s >= least - 1e-9), math.ceil(least / 1e4) * 10_000)
    scale = least if exact else usual
    turn = -1.0 if is_turned else 1.0
    x_mm = left + width / 2 - turn * (low_x + high_x) / 2 * 1000.0 / scale
    y_mm = top + height / 2 + turn * (low_y + high_y) / 2 * 1000.0 / scale
    return Ground(scale, x_mm, y_mm, box, is_turned)


def ground_height_mm(bounds_m: Box, width_mm: float, *, most_mm: float) -> float:
    """Height of a box of a given width that a part of the ground fills well."""
    scale = fit_ground(bounds_m, (0.0, 0.0, width_mm, most_mm)).scale
    return min(most_mm, (bounds_m[3] - bounds_m[1]) * 1000.0 / scale)
