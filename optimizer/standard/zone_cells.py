"""Cells of the zones that key moments happen in, by arithmetic where a zone is made of upright rectangles, as most are.

The cells are those of `targets.sample_zone` but for the last bits: enough to say what is covered, and not to choose
between places that are worth the same.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Floats
from standmark.optimizer.value.targets import CELLS_PER_ZONE, LEAST_SHARE, cell_edges_m, sample_zone

UPRIGHT = 1e-12  # share of its area by which a zone may differ from the rectangles round its parts


@lru_cache(maxsize=4096)  # the same zone serves both ends and both halves
def zone_cells(shape: BaseGeometry) -> tuple[Floats, Floats]:
    """Centroid of each cell of a zone, shape (n, 2), and its share of the zone's area, shape (n,)."""
    parts = shapely.bounds(shapely.get_parts(shape))
    sides_m = parts[:, 2:] - parts[:, :2]
    whole_m2 = float(shape.area)
    if abs(float((sides_m[:, 0] * sides_m[:, 1]).sum()) - whole_m2) > UPRIGHT * whole_m2:
        return sample_zone(shape)
    edges_x, edges_y = cell_edges_m(shape, CELLS_PER_ZONE)
    wide_m, x_m = _shared(parts[:, 0::2], edges_x)
    high_m, y_m = _shared(parts[:, 1::2], edges_y)
    area = wide_m[:, :, None] * high_m[:, None, :]  # of each part in each cell
    total = area.sum(axis=0)
    kept = total > LEAST_SHARE * whole_m2
    x, y = (area * x_m[:, :, None]).sum(axis=0), (area * y_m[:, None, :]).sum(axis=0)
    xy_m = np.column_stack([x[kept], y[kept]]) / total[kept][:, None]
    share = total[kept] / total[kept].sum()
    xy_m.flags.writeable = share.flags.writeable = False
    return xy_m, share


def _shared(ranges_m: Floats, edges_m: Floats) -> tuple[Floats, Floats]:
    """How much of each range lies between each two edges, and its middle; both of shape (n_ranges, n_edges - 1)."""
    low, high = np.maximum(ranges_m[:, :1], edges_m[:-1]), np.minimum(ranges_m[:, 1:], edges_m[1:])
    return np.maximum(high - low, 0.0), (low + high) / 2
