"""How many zones the events bear, and how well they predict events that were kept aside.

Whole matches are dealt to folds. For every number of rectangles, with and without left and right alike, the zones
are cut from the other folds and judged on the fold kept aside, by the mean log-density of its events. The choice is
the simplest whose loss to the best is within two of its standard errors over the folds: noise is not fitted.
Zones are cut and chosen with every event spread over the step to which positions are known (`spread`); the final
figures are those of the events kept aside, unsmoothed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter

from standmark.geometry.arrays import Floats
from standmark.optimizer.scoring.lattice import Lattice, mirrored, spread
from standmark.optimizer.scoring.zones import ANYWHERE, ZoneBox, growth, leaf_density, zone_boxes

N_FOLDS = 10
MOST_ZONES = 16
BANDWIDTHS = (0.008, 0.012, 0.018, 0.027, 0.04, 0.06, 0.09, 0.14)  # of the longer side, for the kernel estimate
CLEAR_ERRORS = 2.0  # standard errors by which more zones must be better
FLOOR = 1e-300


@dataclass(frozen=True)
class ZoneEstimate:
    """Zones of one moment, with what speaks for them. Log-likelihoods per held-out event; densities per m2."""

    boxes: tuple[ZoneBox, ...]
    mirror: str  # "none", "y" or "xy"
    n_events: int
    n_matches: int
    held_out: float  # of these zones
    uniform: float  # of an even density over the playing area
    shipped: float | None  # of the zones that the definition had, on the same events; None without any
    kernel: float  # of a Gaussian kernel estimate
    bandwidth_m: float  # of the kernel estimate, chosen in the same way

    @property
    def is_better(self) -> bool:
        """Do these zones predict events better than those that the definition had."""
        return self.shipped is None or self.held_out > self.shipped


def estimate_zones(
    lattice: Lattice,
    folds: Floats,
    *,
    n_events: int,
    n_matches: int,
    shipped: Floats | None,
    mirrors: Sequence[str],
    most: int = MOST_ZONES,
) -> ZoneEstimate:
    """Choose zones for the events of one moment.

    Parameters
    ----------
    folds : shape (n_folds, nx, ny), event weight by cell; every fold with events in it counts
    shipped : shape (nx, ny), density of the definition's zones [1/m2]
    mirrors : symmetries to try, the simplest first
    most : zones at most
    """
    folds = folds[folds.sum(axis=(1, 2)) > 0]
    if len(folds) < 2:
        raise ValueError("needs events in two folds or more")
    soft = np.array([spread(lattice, fold) for fold in folds])
    weight = folds.sum(axis=(1, 2))
    judged = {mirror: _judged(lattice, soft, soft, mirror=mirror, most=most) for mirror in mirrors}
    mirror, n_zones = _simplest(judged, weight)
    counts = mirrored(soft.sum(axis=0), mirror)
    leaves = list(growth(lattice, counts, mirror=mirror, most=n_zones))[-1]
    kernel, bandwidth_m = _kernel(lattice, soft, folds, mirror)
    final = _judged(lattice, soft, folds, mirror=mirror, most=n_zones)[:, -1]
    return ZoneEstimate(
        boxes=zone_boxes(lattice, counts, leaves),
        mirror=mirror,
        n_events=n_events,
        n_matches=n_matches,
        held_out=float(weight @ final / weight.sum()),
        uniform=-float(np.log(lattice.area_m2.sum())),
        shipped=None if shipped is None else _log_density(folds.sum(axis=0), _with_floor(lattice, shipped)),
        kernel=kernel,
        bandwidth_m=bandwidth_m,
    )


def _judged(lattice: Lattice, soft: Floats, judges: Floats, *, mirror: str, most: int) -> Floats:
    """Mean held-out log-density, shape (n_folds, most), for 1 .. most zones.

    Parameters
    ----------
    soft : shape (n_folds, nx, ny), spread events that zones are cut from
    judges : the same shape, events that judge the zones cut from the other folds
    """
    total, judged = soft.sum(axis=0), np.zeros((len(soft), most))
    for index, (fold, judge) in enumerate(zip(soft, judges, strict=True)):
        counts = mirrored(total - fold, mirror)
        for n, leaves in enumerate(growth(lattice, counts, mirror=mirror, most=most)):
            judged[index, n:] = _log_density(judge, leaf_density(lattice, counts, leaves, mirror=mirror))
    return judged


def _simplest(judged: dict[str, Floats], weight: Floats) -> tuple[str, int]:
    """Choose symmetry and number of zones: the simplest not clearly worse than the best."""
    share = weight / weight.sum()
    options = [(mirror, n) for mirror in judged for n in range(1, judged[mirror].shape[1] + 1)]
    best = max(options, key=lambda option: float(share @ judged[option[0]][:, option[1] - 1]))
    reference = judged[best[0]][:, best[1] - 1]
    order = {mirror: rank for rank, mirror in enumerate(judged)}
    for mirror, n in sorted(options, key=lambda option: (option[1], order[option[0]])):
        loss = reference - judged[mirror][:, n - 1]
        if share @ loss <= CLEAR_ERRORS * _standard_error(loss, share):
            return mirror, n
    return best


def _standard_error(values: Floats, share: Floats) -> float:
    """Standard error of the weighted mean of some folds."""
    n = len(values)
    spread = float(share @ (values - share @ values) ** 2)
    return float(np.sqrt(spread / max(n - 1, 1)))


def _kernel(lattice: Lattice, soft: Floats, folds: Floats, mirror: str) -> tuple[float, float]:
    """Held-out log-likelihood of a Gaussian kernel estimate at its best bandwidth, and this bandwidth [m]."""
    total, weight = soft.sum(axis=0), folds.sum(axis=(1, 2))
    step_m = float(lattice.x_m[1] - lattice.x_m[0]), float(lattice.y_m[1] - lattice.y_m[0])
    longer_m = max(lattice.x_m[-1] - lattice.x_m[0], lattice.y_m[-1] - lattice.y_m[0])
    trials = []
    for share in BANDWIDTHS:
        sigma = [share * longer_m / step for step in step_m]
        density = [kernel_density(lattice, mirrored(total - fold, mirror), sigma=sigma) for fold in soft]
        chosen, told = (
            float(weight @ [_log_density(f, d) for f, d in zip(judge, density, strict=True)] / weight.sum())
            for judge in (soft, folds)
        )
        trials.append((chosen, told, float(share * longer_m)))
    _, held_out, bandwidth_m = max(trials)
    return held_out, bandwidth_m


def kernel_density(lattice: Lattice, counts: Floats, *, sigma: Sequence[float]) -> Floats:
    """Gaussian kernel estimate on every cell [1/m2], reflected at the edges; ANYWHERE of it spread evenly.

    Parameters
    ----------
    sigma : standard deviation along x and y, in cells
    """
    inside = lattice.area_m2 > 0
    smooth = gaussian_filter(counts, sigma, mode="reflect") * inside
    density = np.divide(smooth, lattice.area_m2, out=np.zeros_like(smooth), where=inside) / smooth.sum()
    return _with_floor(lattice, density)


def _with_floor(lattice: Lattice, density: Floats) -> Floats:
    """Spread ANYWHERE of a density evenly over the ground."""
    return np.asarray((1 - ANYWHERE) * density + ANYWHERE * (lattice.area_m2 > 0) / lattice.area_m2.sum())


def _log_density(fold: Floats, density: Floats) -> float:
    return float((fold * np.log(np.maximum(density, FLOOR))).sum() / fold.sum())
