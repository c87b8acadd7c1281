"""What happens at every place of the ground in a period, and how well each camera captures it there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Floats, Indices
from standmark.optimizer.match.match import Match
from standmark.optimizer.value.quality import Factors, Surroundings
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import Targets, moment_weight, period_targets, turns
from standmark.optimizer.work.assignment import Station, station_factors
from standmark.sports.sport import Period

STEPS_M = (0.25, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 20.0)
MOST_CELLS = 2200  # over the playing area


@dataclass(frozen=True, eq=False)
class Mesh:
    """Square cells over the ground, one corner at the origin, so that turning by 180 degrees maps it on itself.

    Every target lies in the middle of a cell; several kinds of moment share a cell.
    """

    step_m: float
    xy_m: Floats  # shape (n_cells, 2), middles of the cells in which something happens
    worth: Floats  # shape (n_cells,), share of the match's worth that happens there; sums to 1
    targets: Targets  # every kind of moment at every place where it happens
    cell: Indices  # shape (n_targets,), cell of each target
    around: Surroundings
    extent: BaseGeometry  # where anything happens at all, true to the zones

    def mean(self, quality: Floats) -> Floats:
        """Mean over what happens in each cell, shape (..., n_cells), of a value for each target."""
        worth = self.targets.weight * quality
        rows = worth.reshape(-1, worth.shape[-1])
        sums = np.array([np.bincount(self.cell, row, minlength=len(self.worth)) for row in rows])
        return (sums / self.worth).reshape(*worth.shape[:-1], len(self.worth))


@dataclass(frozen=True, eq=False)
class GroundMap:
    """Quality of each camera of a plan at every place: 0..1, averaged over the moments that happen there."""

    mesh: Mesh
    factors: tuple[Factors, ...]  # of each camera, for every target of the mesh
    quality: Floats  # shape (n_cameras, n_cells)
    seen: Floats  # shape (n_cameras, n_cells), share captured usably

    @property
    def best(self) -> Floats:
        """Quality of the best camera for each place, shape (n_cells,)."""
        return np.asarray(self.quality.max(axis=0))

    @property
    def best_seen(self) -> Floats:
        """Share captured usably by the camera that captures most of each place, shape (n_cells,)."""
        return np.asarray(self.seen.max(axis=0))

    @property
    def owner(self) -> Indices:
        """Camera that is best at each place, the earlier one where two are equal, shape (n_cells,)."""
        return np.asarray((self.quality >= self.best - 1e-9).argmax(axis=0))


def mesh_step_m(match: Match, *, most_cells: int = MOST_CELLS) -> float:
    """Choose the smallest usual step for which the playing area holds no more than so many cells."""
    wanted = math.sqrt(match.sport.area.outline.area / most_cells)
    return next((step for step in STEPS_M if step >= wanted - 1e-9), STEPS_M[-1])


def ground_mesh(match: Match, period: Period, *, step_m: float | None = None) -> Mesh:
    """Lay the key moments of a period on square cells.

    Parameters
    ----------
    step_m : side of a cell; None: as `mesh_step_m` chooses
    """
    step = step_m or mesh_step_m(match)
    targets = period_targets(match, period, sample=partial(cell_shares, step_m=step))
    place = np.floor(targets.xyz_m[:, :2] / step).astype(np.intp)
    cells, cell = np.unique(place, axis=0, return_inverse=True)
    worth = np.bincount(cell.ravel(), targets.weight, minlength=len(cells))
    middles = np.asarray((cells + 0.5) * step, dtype=np.float64)
    return Mesh(
        step_m=step,
        xy_m=middles,
        worth=worth.astype(np.float64),
        targets=targets,
        cell=cell.ravel(),
        around=period_surroundings(match, period),
        extent=_extent(match, period),
    )


def ground_map(match: Match, mesh: Mesh, stations: Sequence[Station]) -> GroundMap:
    """Work out how well each camera captures what happens at every place."""
    factors = tuple(station_factors(match, station, mesh.targets, around=mesh.around) for station in stations)
    quality, seen = (mesh.mean(np.array([getattr(f, part) for f in factors])) for part in ("quality", "seen"))
    return GroundMap(mesh, factors, quality, seen)


@lru_cache(maxsize=1024)  # the same zones are cut for every period and turn
def cell_shares(zone: BaseGeometry, *, step_m: float) -> tuple[Floats, Floats]:
    """Cut a zone into the cells of the mesh.

    Returns
    -------
    middles of the cells, shape (n, 2), and the share of the zone's area in each, shape (n,), which sums to 1
    """
    low_x, low_y, high_x, high_y = zone.bounds
    columns, lines = _indices(low_x, high_x, step_m), _indices(low_y, high_y, step_m)
    i, j = (index.ravel() for index in np.meshgrid(columns, lines, indexing="ij"))
    boxes = shapely.box(i * step_m, j * step_m, (i + 1) * step_m, (j + 1) * step_m)
    shapely.prepare(zone)
    area = np.where(shapely.contains(zone, boxes), step_m**2, 0.0)
    cut = (area == 0.0) & shapely.intersects(zone, boxes)
    area[cut] = shapely.area(shapely.intersection(boxes[cut], zone))
    kept = area > 1e-9 * zone.area
    xy_m, share = np.column_stack([i[kept] + 0.5, j[kept] + 0.5]) * step_m, area[kept] / area[kept].sum()
    xy_m.flags.writeable = share.flags.writeable = False
    return xy_m, share


def _extent(match: Match, period: Period) -> BaseGeometry:
    """Union of all zones, as they lie in a period."""
    return shapely.union_all(
        [
            shapely.transform(zone.shape, lambda xy: -xy) if is_turned else zone.shape
            for moment in match.sport.moments
            if moment_weight(match, moment) > 0
            for is_turned, weight in turns(match, period, sided=moment.sided)
            if weight > 0
            for zone in moment.zones
        ]
    )


def _indices(low: float, high: float, step_m: float) -> Indices:
    first = math.floor(low / step_m + 1e-9)
    return np.arange(first, max(math.ceil(high / step_m - 1e-9), first + 1))
