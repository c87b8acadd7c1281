"""Where the key moments of a sport happen: worth per square metre, as bands of one hue that reads in grey."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from contourpy import FillType, contour_generator
from scipy.ndimage import gaussian_filter
from shapely.geometry.base import BaseGeometry

from standmark.cli.drawing.ground import Ground
from standmark.cli.drawing.marks import Fill, Mark
from standmark.geometry.arrays import Floats
from standmark.sports.sport import Sport

GRID_CELLS = 200  # along the longer side
BANDS = (0.12, 0.3, 0.5, 0.7, 0.88, 1.01)  # of the square root of worth per m2, its top hundredth being 1
BLUR_CELLS = 1.0


def hot_zone_marks(sport: Sport, ground: Ground) -> Iterator[Mark]:
    """Draw where what is worth filming happens in play; the deeper the tone, the more per square metre."""
    xs, ys, worth = worth_grid(sport)
    if not worth.any():
        return
    top = np.quantile(worth[worth > 0], 0.99)
    tone = gaussian_filter(np.sqrt(np.clip(worth / top, 0.0, 1.0)), sigma=BLUR_CELLS)
    bands: Any = contour_generator(xs, ys, tone, fill_type=FillType.OuterOffset)
    for index in range(len(BANDS) - 1):
        points, offsets = bands.filled(BANDS[index], BANDS[index + 1])
        pieces = [
            ground.place(xy[start:end])
            for xy, cuts in zip(points, offsets, strict=True)
            for start, end in pairwise(cuts)
        ]
        if pieces:
            yield Fill(f"heat-{index + 1}", tuple(pieces))


def worth_grid(sport: Sport) -> tuple[Floats, Floats, Floats]:
    """Worth per square metre of play on a grid that covers every zone with one empty cell round it.

    The worth of a place is the sum over play moments of rate x importance x zone weight / zone area. A sided
    moment counts half at each end, unless the ends never change.

    Returns
    -------
    x of the columns, y of the rows [m], worth of shape (rows, columns) [1/m2]
    """
    parts = list(_worth_parts(sport))
    low_x, low_y, high_x, high_y = shapely.total_bounds([shape for shape, _ in parts])
    if _ends_change(sport):  # an even grid about the centre draws both ends alike
        high_x, high_y = max(-low_x, high_x), max(-low_y, high_y)
        low_x, low_y = -high_x, -high_y
    step = max(high_x - low_x, high_y - low_y) / GRID_CELLS
    xs, ys = _middles(low_x, high_x, step), _middles(low_y, high_y, step)
    worth = np.zeros((len(ys), len(xs)))
    for shape, value in parts:
        x0, y0, x1, y1 = shape.bounds
        columns = slice(*np.searchsorted(xs, (x0, x1)))
        rows = slice(*np.searchsorted(ys, (y0, y1)))
        shapely.prepare(shape)
        worth[rows, columns] += value * shapely.contains_xy(shape, *np.meshgrid(xs[columns], ys[rows]))
    return xs, ys, worth


def _middles(low: float, high: float, step: float) -> Floats:
    """Middles of cells that cover a stretch evenly to both sides, and one more at each end."""
    n = int(np.ceil((high - low) / step)) + 2
    return np.asarray((low + high) / 2 + (np.arange(n) - (n - 1) / 2) * step)


def _worth_parts(sport: Sport) -> Iterator[tuple[BaseGeometry, float]]:
    both_ends = _ends_change(sport)
    for moment in (m for m in sport.moments if m.is_play):
        for zone in moment.zones:
            worth = moment.rate_per_match * moment.importance * zone.weight / zone.shape.area
            if both_ends and moment.sided:
                yield zone.shape, worth / 2
                yield shapely.transform(zone.shape, lambda xy: -xy), worth / 2
            else:
                yield zone.shape, worth


def _ends_change(sport: Sport) -> bool:
    return any(period.attack != "same" for period in sport.periods)
