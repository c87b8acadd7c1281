"""What is nearer than a lens can focus is lost: a cut after all other factors, as it seldom concerns any place."""

from __future__ import annotations

import numpy as np

from standmark.geometry.arrays import Flags, Floats, Singles
from standmark.optimizer.value.outfit import Outfit
from standmark.optimizer.value.targets import Targets


def lose_too_near(quality: Singles, positions_m: Floats, targets: Targets, outfits: tuple[Outfit, ...]) -> None:
    """Set the value of every target within the close focus of an outfit's lens to 0, in place.

    Parameters
    ----------
    quality : shape (n_outfits, n_positions, n_targets)
    positions_m : shape (n_positions, 3), lens positions
    """
    close_m = np.array([outfit.lens.close_focus_m for outfit in outfits])
    if not quality.size or not close_m.any():
        return
    low, high = targets.xyz_m.min(axis=0), targets.xyz_m.max(axis=0)
    off_box = np.maximum(np.maximum(low - positions_m, positions_m - high), 0.0)
    for index in np.flatnonzero(np.hypot(off_box[:, 0], off_box[:, 1]) < close_m.max()):
        away_m = np.linalg.norm(targets.xyz_m - positions_m[index], axis=1)
        for lost, near_m in zip(quality[:, index], close_m, strict=True):
            lost[away_m < near_m] = 0.0


def too_near(position_m: Floats, targets: Targets, outfit: Outfit) -> Flags:
    """Whether each target lies within the close focus of one lens, shape (n_targets,)."""
    return np.asarray(np.linalg.norm(targets.xyz_m - position_m, axis=1) < outfit.lens.close_focus_m)
