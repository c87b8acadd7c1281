"""A handover that people can keep in mind: straight lines across the ground, and what straightening costs."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.work.ground_map import GroundMap

MOST_PARTS = 4  # more nobody keeps in mind
LEAST_SHARE = 0.03  # of the work: a camera with less of it has no part of the ground of its own


@dataclass(frozen=True)
class StraightHandover:
    """Parts of the ground between straight lines, one camera in each, from the low end of an axis to the high one."""

    axis: str  # "x": lines run across the ground; "y": lines run along it
    cuts_m: tuple[float, ...]  # where the lines lie on that axis
    cameras: tuple[str, ...]  # who has the parts, one more than there are lines
    loss: float  # coverage of the period that is lost to a handover wherever the best camera changes


def straight_handover(names: tuple[str, ...], ground: GroundMap) -> StraightHandover:
    """Divide the ground by straight lines so that the cameras together capture most.

    The parts are proven best of all divisions along either axis, with lines between the cells of the map, in which
    every camera has at most one part and there are MOST_PARTS at most. A part with next to no work is left out.

    Parameters
    ----------
    names : of the cameras, in the order of the map
    """
    best = float(ground.mesh.worth @ ground.best)
    divisions = [_divided(names, ground, axis) for axis in ("x", "y")]
    axis, cuts, cameras, value = max(divisions, key=lambda part: part[3])
    return StraightHandover(axis, cuts, cameras, max(best - value, 0.0))


def _divided(
    names: tuple[str, ...], ground: GroundMap, axis: str
) -> tuple[str, tuple[float, ...], tuple[str, ...], float]:
    at_m = ground.mesh.xy_m[:, "xy".index(axis)]
    bands, band = np.unique(at_m, return_inverse=True)
    got = np.array([np.bincount(band, ground.mesh.worth * quality, len(bands)) for quality in ground.quality])
    passed = np.concatenate([np.zeros((len(names), 1)), np.cumsum(got, axis=1)], axis=1)
    whole = float(passed[:, -1].max())
    best: tuple[float, tuple[int, ...], tuple[int, ...]] = (whole, (), (int(passed[:, -1].argmax()),))
    for n in range(2, min(len(names), MOST_PARTS) + 1):
        for order in permutations(range(len(names)), n):
            value, cuts = _best_cuts(passed[list(order)])
            parts = np.diff(np.concatenate([[0], cuts, [len(bands)]]))
            shares = [
                passed[camera, end] - passed[camera, start]
                for camera, start, end in zip(order, (0, *cuts), (*cuts, len(bands)), strict=True)
            ]
            is_worth_it = min(shares) >= LEAST_SHARE * value and min(parts) > 0
            if is_worth_it and value > best[0] + 1e-9:
                best = (value, tuple(int(c) for c in cuts), order)
    value, kept, order_ = best
    lines = tuple(float((bands[c - 1] + bands[c]) / 2) + 0.0 for c in kept)
    return axis, lines, tuple(names[i] for i in order_), value


def _best_cuts(passed: Floats) -> tuple[float, list[int]]:
    """Best places to go from each row to the next.

    Parameters
    ----------
    passed : shape (n_parts, n_bands + 1), what each part's camera captures up to each band

    Returns
    -------
    value, index of the first band of every part but the first
    """
    value = passed[0].copy()
    came_from = []
    for row in passed[1:]:
        before = value - row
        at = np.maximum.accumulate(before)
        first = np.arange(len(before))
        came_from.append(np.maximum.accumulate(np.where(before >= at, first, 0)))
        value = at + row
    cut, cuts = len(value) - 1, []
    for came in reversed(came_from):
        cut = int(came[cut])
        cuts.append(cut)
    return float(value[-1]), cuts[::-1]
