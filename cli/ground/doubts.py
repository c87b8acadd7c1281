"""Whether to believe the place that was found from a photograph."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from standmark.geometry.fit.pose import Pose

LOOSE = 4.0  # times the usual miss: a mark that is further off is probably another one
LEAST_LOOSE_PX = 10.0
GUESS_M = 5.0  # a larger standard error makes the place no better than a guess


def doubtful_mark(pose: Pose, names: Sequence[str]) -> str | None:
    """Name of the mark that is so far off that it is probably another point; None if all fit."""
    worst = int(np.argmax(pose.miss_px))
    loose_px = max(LOOSE * float(np.median(pose.miss_px)), LEAST_LOOSE_PX)
    return names[worst] if pose.miss_px[worst] > loose_px else None


def is_guess(pose: Pose) -> bool:
    """Whether the standard errors [m] are too large for the place to be of use."""
    return max(pose.xyz_se_m) > GUESS_M
