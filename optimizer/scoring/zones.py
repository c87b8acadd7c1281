"""Hot zones from events: rectangles of even density, cut where the events ask for it.

A density tree: the playing area is cut in two, and in two again, always where the cut raises the likelihood of the
events most, until there are enough rectangles. Within each the density is even, which is just what a zone of a sport
definition means. Cuts run along the lattice and leave no side shorter than LEAST_SIDE of the ground. ANYWHERE of the
weight is spread evenly over the whole ground, so that no place is impossible.

References
----------
[1] P. Ram, A. G. Gray, Density Estimation Trees, KDD 2011 (from memory): the same idea with a squared loss.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.scoring.lattice import Lattice

LEAST_SIDE = 0.015  # of the longer side of the ground: 1.6 m of 105, more than the step of most event data
ANYWHERE = 0.01  # share of events taken to be possible anywhere

Cells = tuple[int, int, int, int]  # first and last+1 along x, first and last+1 along y


@dataclass(frozen=True)
class ZoneBox:
    """One rectangle of even density in pitch metres, with the share of events in it and in its mirror images."""

    x_m: tuple[float, float]
    y_m: tuple[float, float]
    weight: float


@dataclass(frozen=True, eq=False)
class Sums:
    """Sums over any rectangle of a lattice in four look-ups."""

    table: Floats  # shape (nx + 1, ny + 1)

    def of(self, i0: Floats | int, i1: Floats | int, j0: Floats | int, j1: Floats | int) -> Floats:
        """Sum over cells i0..i1-1, j0..j1-1; arguments broadcast."""
        t = self.table
        return np.asarray(t[i1, j1] - t[i0, j1] - t[i1, j0] + t[i0, j0])


def sums(values: Floats) -> Sums:
    """Prepare sums over rectangles."""
    table = np.zeros((values.shape[0] + 1, values.shape[1] + 1))
    table[1:, 1:] = values.cumsum(axis=0).cumsum(axis=1)
    return Sums(table)


def domain(lattice: Lattice, mirror: str) -> Cells:
    """Part of the lattice that is cut: the half or quarter whose mirror images make up the rest."""
    nx, ny = lattice.shape
    return (nx // 2 if mirror == "xy" else 0), nx, (ny // 2 if mirror in ("y", "xy") else 0), ny


def growth(lattice: Lattice, counts: Floats, *, mirror: str, most: int) -> Iterator[list[Cells]]:
    """Cut the ground into 1, 2, 3 ... rectangles, each time where the events gain most; ends when no cut gains.

    Parameters
    ----------
    counts : shape (nx, ny), already mirrored
    most : rectangles at most
    """
    n, area = sums(counts), sums(lattice.area_m2)
    least = 2 * max(1, round(LEAST_SIDE * max(lattice.shape) / 2))
    leaves = [domain(lattice, mirror)]
    axes = leaves[0][0] if mirror == "xy" else -1, leaves[0][2] if mirror in ("y", "xy") else -1
    cuts = {leaves[0]: _best_cut(n, area, leaves[0], least, axes)}
    yield list(leaves)
    while len(leaves) < most:
        leaf = max(leaves, key=lambda cells: cuts[cells][0])
        gain, first, second = cuts[leaf]
        if gain <= 0:
            return
        position = leaves.index(leaf)
        leaves[position : position + 1] = [first, second]
        for part in (first, second):
            cuts[part] = _best_cut(n, area, part, least, axes)
        yield list(leaves)


def _best_cut(n: Sums, area: Sums, cells: Cells, least: int, axes: tuple[int, int]) -> tuple[float, Cells, Cells]:
    """Gain in log-likelihood of the best cut of a rectangle, and its two parts; gain 0 when there is none.

    Parameters
    ----------
    least : cells that a side must keep; half of it where the mirror image joins on
    axes : cell at which the mirror lies along x and along y; -1: none
    """
    i0, i1, j0, j1 = cells
    best: tuple[float, Cells, Cells] = (0.0, cells, cells)
    whole = float(_log_sum(n.of(*cells), area.of(*cells)))
    for axis, (low, high) in enumerate(((i0, i1), (j0, j1))):
        at = np.arange(low + (least // 2 if low == axes[axis] else least), high - least + 1)
        if not len(at):
            continue
        lower = (i0, at, j0, j1) if axis == 0 else (i0, i1, j0, at)
        upper = (at, i1, j0, j1) if axis == 0 else (i0, i1, at, j1)
        both = [(n.of(*part), area.of(*part)) for part in (lower, upper)]
        gain = sum(_log_sum(count, size) for count, size in both) - whole
        gain = np.where((both[0][1] > 1e-9) & (both[1][1] > 1e-9), gain, -np.inf)
        k = int(gain.argmax())
        if gain[k] > best[0] + 1e-9:
            cut = int(at[k])
            parts = ((i0, cut, j0, j1), (cut, i1, j0, j1)) if axis == 0 else ((i0, i1, j0, cut), (i0, i1, cut, j1))
            best = float(gain[k]), *parts
    return best


def _log_sum(count: Floats, area_m2: Floats) -> Floats:
    """Log-likelihood of the events of a rectangle of even density, but for a constant: n log(n / area)."""
    ratio = np.divide(count, area_m2, out=np.ones_like(count), where=(count > 1e-12) & (area_m2 > 1e-12))
    return np.asarray(count * np.log(ratio))


def leaf_shares(lattice: Lattice, counts: Floats, leaves: list[Cells]) -> tuple[Floats, Floats]:
    """Share of the events and area of each rectangle, its mirror images not counted.

    Returns
    -------
    shape (n_leaves,), sums to 1, ANYWHERE of it spread by area; shape (n_leaves,) [m2]
    """
    n, area = sums(counts), sums(lattice.area_m2)
    inside = np.array([float(n.of(*leaf)) for leaf in leaves])
    area_m2 = np.array([float(area.of(*leaf)) for leaf in leaves])
    share = (1 - ANYWHERE) * inside / inside.sum() + ANYWHERE * area_m2 / area_m2.sum()
    return share, area_m2


def leaf_density(lattice: Lattice, counts: Floats, leaves: list[Cells], *, mirror: str) -> Floats:
    """Density of rectangles and their mirror images on every cell [1/m2], shape (nx, ny)."""
    share, area_m2 = leaf_shares(lattice, counts, leaves)
    images = {"none": 1, "y": 2, "xy": 4}[mirror]
    density = np.zeros(lattice.shape)
    for (i0, i1, j0, j1), value in zip(leaves, share / (images * area_m2), strict=True):
        density[i0:i1, j0:j1] = value
    if mirror in ("y", "xy"):
        density = np.maximum(density, density[:, ::-1])
    return np.maximum(density, density[::-1]) if mirror == "xy" else density


def zone_boxes(lattice: Lattice, counts: Floats, leaves: list[Cells]) -> tuple[ZoneBox, ...]:
    """Rectangles in metres with their shares, the fullest first."""
    share, _ = leaf_shares(lattice, counts, leaves)
    boxes = [
        ZoneBox((float(lattice.x_m[i0]), float(lattice.x_m[i1])), (float(lattice.y_m[j0]), float(lattice.y_m[j1])),
                float(weight))
        for (i0, i1, j0, j1), weight in zip(leaves, share, strict=True)
    ]  # fmt: skip
    return tuple(sorted(boxes, key=lambda box: -box.weight))
